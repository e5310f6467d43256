//! The only threads of the program.
//!
//! Takes numbered work and hands its results on in order, never more than a few
//! ahead of the writer, so that memory does not grow with the number of items.
//! A panic in one item becomes an error that names it. Knows nothing of units,
//! versions or pages.

use std::any::Any;
use std::collections::BTreeMap;
use std::num::NonZero;
use std::ops::Range;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Condvar, Mutex, PoisonError, mpsc};
use std::thread;

/// Finished results that may wait, per worker, for an earlier one still at work.
const AHEAD: u64 = 4;

/// Why numbered work stopped: the first item, in order, that went wrong.
#[derive(Debug)]
pub enum Stopped<E> {
    /// The work on an item, or handing it on, failed.
    Failed { item: u32, error: E },
    /// The work on an item panicked: a fault of ours, with the panic's words.
    Panicked { item: u32, words: String },
}

impl<E: std::fmt::Display> std::fmt::Display for Stopped<E> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Stopped::Failed { error, .. } => write!(f, "{error}"),
            Stopped::Panicked { item, words } => {
                write!(f, "a fault in the program stopped item {item}: {words}")
            }
        }
    }
}

impl<E: std::error::Error + 'static> std::error::Error for Stopped<E> {}

/// Does `work` on every item on `workers` threads (0: as many as the machine has)
/// and calls `each` with the results on the calling thread, in the items' order.
///
/// Stops at the first item in order whose work or `each` fails; which one that is
/// does not depend on timing. Progress can be shown from `each`.
///
/// # Errors
/// `Failed` with the item's own error, `Panicked` if its work panicked.
pub fn in_order<T: Send, E: Send>(
    items: Range<u32>,
    workers: usize,
    work: impl Fn(u32) -> Result<T, E> + Sync,
    mut each: impl FnMut(u32, T) -> Result<(), E>,
) -> Result<(), Stopped<E>> {
    let workers = match workers {
        0 => thread::available_parallelism().map_or(1, NonZero::get),
        given => given,
    };
    let workers = workers.min(items.len()).max(1);
    let window = AHEAD * workers as u64;
    let gate = Gate::new(u64::from(items.start) + window);
    let next = AtomicU64::new(u64::from(items.start));
    // Room for all that the gate lets through: a send never waits.
    let (sender, receiver) = mpsc::sync_channel(window as usize);

    thread::scope(|scope| {
        // Opened also if `each` panics, or the workers would wait for ever.
        let _stop = StopOnDrop(&gate);
        for _ in 0..workers {
            let (sender, gate, next, work, items) = (sender.clone(), &gate, &next, &work, &items);
            scope.spawn(move || {
                loop {
                    let number = next.fetch_add(1, Ordering::Relaxed);
                    let Ok(item) = u32::try_from(number) else { break };
                    if item >= items.end || !gate.pass(number) {
                        break;
                    }
                    // Nothing of a panicked item is used again.
                    let outcome = catch_unwind(AssertUnwindSafe(|| work(item)));
                    let outcome = match outcome {
                        Ok(Ok(result)) => Ok(result),
                        Ok(Err(error)) => Err(Stopped::Failed { item, error }),
                        Err(panic) => Err(Stopped::Panicked { item, words: words_of(&*panic) }),
                    };
                    if sender.send((item, outcome)).is_err() {
                        break;
                    }
                }
            });
        }
        drop(sender);

        let mut waiting = BTreeMap::new();
        for item in items.clone() {
            let outcome = loop {
                if let Some(outcome) = waiting.remove(&item) {
                    break outcome;
                }
                match receiver.recv() {
                    Ok((number, outcome)) => waiting.insert(number, outcome),
                    // Workers end early only when told to stop, which we did not.
                    Err(_) => {
                        let words = "its worker ended without a result".to_owned();
                        break Err(Stopped::Panicked { item, words });
                    }
                };
            };
            each(item, outcome?).map_err(|error| Stopped::Failed { item, error })?;
            gate.open_one_more();
        }
        Ok(())
    })
}

/// Lets an item through once all but a window of those before it are written.
struct Gate {
    /// The first item that must wait; `u64::MAX` with `true` once all is over.
    limit: Mutex<(u64, bool)>,
    moved: Condvar,
}

impl Gate {
    fn new(limit: u64) -> Gate {
        Gate { limit: Mutex::new((limit, false)), moved: Condvar::new() }
    }

    /// Waits for the item's turn; false if the run is over.
    fn pass(&self, item: u64) -> bool {
        let state = self.limit.lock().unwrap_or_else(PoisonError::into_inner);
        let state = self
            .moved
            .wait_while(state, |(limit, over)| item >= *limit && !*over)
            .unwrap_or_else(PoisonError::into_inner);
        !state.1
    }

    fn open_one_more(&self) {
        self.limit.lock().unwrap_or_else(PoisonError::into_inner).0 += 1;
        self.moved.notify_all();
    }
}

struct StopOnDrop<'a>(&'a Gate);

impl Drop for StopOnDrop<'_> {
    fn drop(&mut self) {
        self.0.limit.lock().unwrap_or_else(PoisonError::into_inner).1 = true;
        self.0.moved.notify_all();
    }
}

fn words_of(panic: &(dyn Any + Send)) -> String {
    panic
        .downcast_ref::<&str>()
        .map(|words| (*words).to_owned())
        .or_else(|| panic.downcast_ref::<String>().cloned())
        .unwrap_or_else(|| "no reason given".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::AtomicUsize;
    use std::time::Duration;

    #[test]
    fn results_come_in_order_whatever_the_workers_do() {
        for workers in [0, 1, 2, 7] {
            let mut seen = Vec::new();
            let done: Result<(), Stopped<()>> = in_order(
                3..60,
                workers,
                |item| {
                    // Every fifth item is slow, so that others overtake it.
                    if item % 5 == 0 {
                        thread::sleep(Duration::from_millis(2));
                    }
                    Ok(item * 2)
                },
                |item, twice| {
                    assert_eq!(twice, 2 * item);
                    seen.push(item);
                    Ok(())
                },
            );
            assert!(done.is_ok());
            assert_eq!(seen, (3..60).collect::<Vec<_>>());
        }
    }

    #[test]
    fn no_items_is_no_work() {
        let done: Result<(), Stopped<()>> =
            in_order(5..5, 2, |_| unreachable!(), |_, ()| unreachable!());
        assert!(done.is_ok());
    }

    #[test]
    fn work_never_runs_far_ahead_of_the_writer() {
        let (started, written) = (AtomicUsize::new(0), AtomicUsize::new(0));
        let furthest = AtomicUsize::new(0);
        let done: Result<(), Stopped<()>> = in_order(
            0..200,
            2,
            |_| {
                let ahead =
                    started.fetch_add(1, Ordering::SeqCst) + 1 - written.load(Ordering::SeqCst);
                furthest.fetch_max(ahead, Ordering::SeqCst);
                Ok(())
            },
            |item, ()| {
                if item % 50 == 0 {
                    thread::sleep(Duration::from_millis(5));
                }
                written.fetch_add(1, Ordering::SeqCst);
                Ok(())
            },
        );
        assert!(done.is_ok());
        let furthest = furthest.into_inner();
        assert!(furthest <= 2 * AHEAD as usize + 1, "{furthest} items were under way");
    }

    #[test]
    fn the_first_failure_in_order_is_the_one_reported() {
        let mut last = None;
        let done = in_order(
            0..1000,
            2,
            |item| {
                if item == 20 {
                    thread::sleep(Duration::from_millis(5));
                }
                if item == 20 || item == 21 { Err(item) } else { Ok(()) }
            },
            |item, ()| {
                last = Some(item);
                Ok(())
            },
        );
        assert!(matches!(done, Err(Stopped::Failed { item: 20, error: 20 })), "{done:?}");
        assert_eq!(last, Some(19));
    }

    #[test]
    fn a_failing_writer_stops_the_workers() {
        let started = AtomicUsize::new(0);
        let done = in_order(
            0..u32::MAX,
            2,
            |_| {
                started.fetch_add(1, Ordering::SeqCst);
                Ok(())
            },
            |item, ()| if item == 3 { Err("the disk is full") } else { Ok(()) },
        );
        assert!(matches!(done, Err(Stopped::Failed { item: 3, error: "the disk is full" })));
        assert!(started.into_inner() < 40);
    }

    #[test]
    fn a_panic_names_its_item() {
        let done: Result<(), Stopped<()>> = in_order(
            0..50,
            2,
            |item| {
                assert!(item != 17, "seventeen is odd");
                Ok(())
            },
            |_, ()| Ok(()),
        );
        match done {
            Err(Stopped::Panicked { item: 17, words }) => assert!(words.contains("seventeen")),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn a_panicking_writer_does_not_hang_the_workers() {
        let outcome = catch_unwind(|| {
            let _: Result<(), Stopped<()>> =
                in_order(0..1000, 2, |_| Ok(()), |item, ()| panic!("at {item}"));
        });
        assert!(outcome.is_err());
    }
}
