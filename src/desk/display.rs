//! Finds out whether there is a display. The toolkit would panic without one, so it is looked for first. A panic while
//! the window opens becomes an error of one line.

use super::Error;
use std::panic::{self, AssertUnwindSafe};
use std::sync::atomic::{AtomicBool, Ordering};

/// Whether the window was opened. A later panic is our own bug and is shown as one.
static OPENED: AtomicBool = AtomicBool::new(false);

/// Call this when the window is open.
pub(crate) fn opened() {
    OPENED.store(true, Ordering::Relaxed);
}

/// Opens the window and returns when it is closed. A panic of the toolkit before it is open becomes an error.
pub(crate) fn hold(run: impl FnOnce() -> iced::Result) -> Result<(), Error> {
    let _door = look()?;
    let told = panic::take_hook();
    panic::set_hook(Box::new(move |info| {
        if OPENED.load(Ordering::Relaxed) {
            told(info);
        }
    }));
    match panic::catch_unwind(AssertUnwindSafe(run)) {
        Ok(ended) => ended.map_err(Error::Refused),
        Err(panicked) if OPENED.load(Ordering::Relaxed) => panic::resume_unwind(panicked),
        Err(panicked) => Err(Error::GaveUp(reason(panicked.as_ref()))),
    }
}

fn reason(panicked: &(dyn std::any::Any + Send)) -> String {
    let text = panicked.downcast_ref::<String>().map(String::as_str);
    let text = text.or_else(|| panicked.downcast_ref::<&str>().copied()).unwrap_or("the toolkit gave up");
    match text.contains("LibraryOpen") {
        true => "a library of the display is missing; on Debian: apt-get install libx11-6 libx11-xcb1 libxcursor1 \
                 libxi6 libxkbcommon-x11-0"
            .to_owned(),
        false => text.lines().next().unwrap_or("the toolkit gave up").to_owned(),
    }
}

/// A display that answered. The connection is kept: an X server restarts when its only client leaves, and would be away
/// at the moment the window needs it.
#[cfg(target_os = "linux")]
#[derive(Debug)]
enum Door {
    Wayland,
    Local { _kept: std::os::unix::net::UnixStream },
    Tcp { _kept: std::net::TcpStream },
}

/// Looks for a display that answers.
#[cfg(target_os = "linux")]
fn look() -> Result<Door, Error> {
    let named = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty());
    if let Some(display) = named("WAYLAND_DISPLAY") {
        let runtime = named("XDG_RUNTIME_DIR").unwrap_or_else(|| "/".into());
        if std::path::Path::new(&runtime).join(&display).exists() {
            return Ok(Door::Wayland);
        }
    }
    let Some(display) = named("DISPLAY") else {
        return Err(Error::NoDisplay("neither DISPLAY nor WAYLAND_DISPLAY is set"));
    };
    let door = knock(&display.to_string_lossy());
    door.ok_or(Error::NoDisplay("the display that DISPLAY names does not answer"))
}

/// Elsewhere a window always has a display.
#[cfg(not(target_os = "linux"))]
fn look() -> Result<(), Error> {
    Ok(())
}

/// Connects to an X server: through its socket if it is local, otherwise over TCP (X11 protocol, connection setup:
/// display `n` listens on port 6000 + `n`).
#[cfg(target_os = "linux")]
fn knock(display: &str) -> Option<Door> {
    use std::net::{TcpStream, ToSocketAddrs};
    use std::os::linux::net::SocketAddrExt;
    use std::os::unix::net::{SocketAddr, UnixStream};
    use std::time::Duration;
    let (host, number) = display.rsplit_once(':')?;
    let number = number.split('.').next()?.parse::<u16>().ok()?;
    if host.is_empty() || host == "unix" {
        let path = format!("/tmp/.X11-unix/X{number}");
        let hidden = SocketAddr::from_abstract_name(path.as_bytes()).ok();
        let kept = UnixStream::connect(&path).ok().or_else(|| UnixStream::connect_addr(&hidden?).ok())?;
        return Some(Door::Local { _kept: kept });
    }
    let mut addresses = (host, number.checked_add(6000)?).to_socket_addrs().ok()?;
    let kept =
        addresses.find_map(|address| TcpStream::connect_timeout(&address, Duration::from_secs(1)).ok())?;
    Some(Door::Tcp { _kept: kept })
}
