//! Whether there is a display. The toolkit would panic without one, so it is looked for first.

use super::NoWindow;

/// Looks for a display that answers.
#[cfg(target_os = "linux")]
pub(crate) fn look() -> Result<(), NoWindow> {
    let named = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty());
    if let Some(display) = named("WAYLAND_DISPLAY") {
        let runtime = named("XDG_RUNTIME_DIR").unwrap_or_default();
        if std::path::Path::new(&runtime).join(&display).exists() {
            return Ok(());
        }
    }
    let Some(display) = named("DISPLAY") else {
        return Err(NoWindow::NoDisplay("neither DISPLAY nor WAYLAND_DISPLAY is set"));
    };
    if answers(&display.to_string_lossy()) {
        return Ok(());
    }
    Err(NoWindow::NoDisplay("the display that DISPLAY names does not answer"))
}

/// Elsewhere a window always has a display.
#[cfg(not(target_os = "linux"))]
pub(crate) fn look() -> Result<(), NoWindow> {
    Ok(())
}

/// Whether an X server listens there: by its socket if it is local, over TCP else (X11 protocol, connection setup:
/// display `n` listens on port 6000 + `n`).
#[cfg(target_os = "linux")]
fn answers(display: &str) -> bool {
    use std::net::{TcpStream, ToSocketAddrs};
    use std::os::linux::net::SocketAddrExt;
    use std::os::unix::net::{SocketAddr, UnixStream};
    use std::time::Duration;
    let Some((host, number)) = display.rsplit_once(':') else { return false };
    let number = number.split('.').next().unwrap_or(number);
    let Ok(number) = number.parse::<u16>() else { return false };
    if host.is_empty() || host == "unix" {
        let path = format!("/tmp/.X11-unix/X{number}");
        let hidden = SocketAddr::from_abstract_name(path.as_bytes());
        return UnixStream::connect(&path).is_ok()
            || hidden.is_ok_and(|address| UnixStream::connect_addr(&address).is_ok());
    }
    let Some(port) = number.checked_add(6000) else { return false };
    let addresses = (host, port).to_socket_addrs();
    addresses.is_ok_and(|mut all| {
        all.any(|address| TcpStream::connect_timeout(&address, Duration::from_secs(1)).is_ok())
    })
}
