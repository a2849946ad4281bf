//! Work that an interrupt does not cut in two: it is done first, and then the program ends as it was told.

use std::io;

/// Does the work; what would end the program meanwhile ends it afterwards.
#[cfg(unix)]
pub(crate) fn held<T>(work: impl FnOnce() -> io::Result<T>) -> io::Result<T> {
    use std::sync::Arc;
    use std::sync::atomic::{AtomicBool, Ordering};

    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};

    let mut heard = Vec::new();
    for signal in [SIGINT, SIGTERM, SIGHUP] {
        let told = Arc::new(AtomicBool::new(false));
        let id = signal_hook::flag::register(signal, Arc::clone(&told))?;
        heard.push((signal, told, id));
    }
    let done = work();
    for (signal, told, id) in heard {
        signal_hook::low_level::unregister(id);
        if told.load(Ordering::Relaxed) {
            signal_hook::low_level::emulate_default_handler(signal)?;
        }
    }
    done
}

/// Does the work.
#[cfg(not(unix))]
pub(crate) fn held<T>(work: impl FnOnce() -> io::Result<T>) -> io::Result<T> {
    work()
}
