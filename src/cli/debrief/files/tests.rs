use std::sync::atomic::{AtomicUsize, Ordering};

use super::{locked_folder, stand_in};

/// Both kinds of lock: of eight at once none meets another.
#[test]
fn one_debrief_at_a_time_holds_a_folder() {
    let folder = tempfile::tempdir().expect("a folder");
    for lock in [locked_folder, stand_in] {
        let (inside, most) = (AtomicUsize::new(0), AtomicUsize::new(0));
        std::thread::scope(|scope| {
            for _ in 0..8 {
                scope.spawn(|| {
                    let held = lock(folder.path());
                    assert!(held.is_some());
                    most.fetch_max(inside.fetch_add(1, Ordering::SeqCst) + 1, Ordering::SeqCst);
                    std::thread::yield_now();
                    inside.fetch_sub(1, Ordering::SeqCst);
                });
            }
        });
        assert_eq!(most.into_inner(), 1);
    }
}
