//! Room beside a compiled question for what a later stage works out once for all of
//! its versions.
//!
//! Never looks at what is kept. What is made must rest on the question alone, so that
//! it does not matter which version asks first, or on which thread.

use std::any::Any;
use std::sync::OnceLock;

/// One thing, made when it is first asked for.
#[derive(Debug, Default)]
pub struct Kept(OnceLock<Box<dyn Any + Send + Sync>>);

impl Kept {
    /// What is kept; made now if this is the first time. None if another type is kept
    /// here already.
    pub fn get<T: Any + Send + Sync>(&self, make: impl FnOnce() -> T) -> Option<&T> {
        self.0.get_or_init(|| Box::new(make())).downcast_ref()
    }
}
