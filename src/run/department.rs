//! The habits of the school beside whose units something stands.

use std::path::Path;
use std::sync::Arc;

use crate::diag::Diagnostics;
use crate::picture::Picture;
use crate::reading;
use crate::reading::department::{self, Department};

use super::pictures;

/// What `department.yaml` in a folder says; where there is none, nothing. A badge that
/// cannot be drawn is a finding, too.
pub(super) fn of(folder: &Path, out: &mut Diagnostics) -> Department {
    let found = told(folder, out);
    if let Some((file, address)) = &found.badge
        && let Err(finding) = pictures::beside(file, address.span, &address.value)
    {
        out.push(*finding);
    }
    found
}

/// The same without a look at the badge.
fn told(folder: &Path, out: &mut Diagnostics) -> Department {
    let path = folder.join(department::FILE);
    if !path.exists() {
        return Department::default();
    }
    let name = path.display().to_string().replace('\\', "/");
    let Some(file) = reading::file::read(&path, &name, out) else { return Department::default() };
    department::department(&file, out)
}

/// The figures of answers beside a file. What is wrong with the department's file is told
/// where it is read for itself.
pub(super) fn figures_beside(file: &Path) -> Option<u32> {
    told(folder_of(file), &mut Diagnostics::new()).sig_figs
}

/// What `of` gives for the folder of a file.
pub(super) fn beside(file: &Path, out: &mut Diagnostics) -> Department {
    of(folder_of(file), out)
}

fn folder_of(file: &Path) -> &Path {
    file.parent().unwrap_or(Path::new(""))
}

/// The school's badge.
pub(super) fn badge(department: &Department) -> Option<Arc<Picture>> {
    let (file, address) = department.badge.as_ref()?;
    pictures::beside(file, address.span, &address.value).ok().map(Arc::new)
}
