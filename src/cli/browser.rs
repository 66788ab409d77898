//! A browser of the Chromium family on this machine that prints a page: without a window, without
//! a network, in a profile of its own that is gone afterwards.

use std::fs::File;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use super::show::Stop;

/// The variable that names the browser.
const VARIABLE: &str = "SUTLER_BROWSER";
/// A browser that takes longer is ended, with all that it started.
const LONGEST: Duration = Duration::from_secs(30);
/// Dots of a picture to a CSS pixel of 1/96 in.
const DOTS: f64 = 2.0;

/// Names on the search path, the plainest builds first.
const NAMES: &[&str] = &[
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
    "microsoft-edge",
    "microsoft-edge-stable",
    "msedge",
    "brave-browser",
    "vivaldi",
    "vivaldi-stable",
    "opera",
];

/// Places where installers put it; `~` and `%NAME%` stand for what the environment says.
const PLACES: &[&str] = &[
    "/snap/bin/chromium",
    "/opt/google/chrome/chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
    "/Applications/Brave Browser.app/Contents/MacOS/Brave Browser",
    "/Applications/Vivaldi.app/Contents/MacOS/Vivaldi",
    "~/Applications/Chromium.app/Contents/MacOS/Chromium",
    "~/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "%LOCALAPPDATA%/Chromium/Application/chrome.exe",
    "%PROGRAMFILES%/Google/Chrome/Application/chrome.exe",
    "%PROGRAMFILES(X86)%/Google/Chrome/Application/chrome.exe",
    "%LOCALAPPDATA%/Google/Chrome/Application/chrome.exe",
    "%PROGRAMFILES(X86)%/Microsoft/Edge/Application/msedge.exe",
    "%PROGRAMFILES%/Microsoft/Edge/Application/msedge.exe",
    "%PROGRAMFILES%/BraveSoftware/Brave-Browser/Application/brave.exe",
    "%LOCALAPPDATA%/Vivaldi/Application/vivaldi.exe",
];

/// Without a window, a network, or any business of its own.
const QUIETLY: &[&str] = &[
    "--headless",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--no-first-run",
    "--no-default-browser-check",
    "--disable-default-apps",
    "--disable-extensions",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-quic",
    "--no-pings",
    "--disable-breakpad",
    "--password-store=basic",
    "--use-mock-keychain",
    "--host-resolver-rules=MAP * ~NOTFOUND",
    "--proxy-server=127.0.0.1:9",
];

/// A browser that was found.
#[derive(Debug)]
pub(crate) struct Browser {
    program: PathBuf,
}

/// A picture of a page, and the page as it was when it was taken.
pub(crate) struct Shot {
    pub(crate) bytes: Vec<u8>,
    pub(crate) dom: String,
}

impl Browser {
    /// The browser that the environment names, or one that is installed.
    pub(crate) fn find() -> Result<Browser, Stop> {
        if let Some(named) = std::env::var_os(VARIABLE).filter(|named| !named.is_empty()) {
            let named = PathBuf::from(named);
            let found = on_path(&named).ok_or_else(|| {
                Stop::Said(format!(
                    "{VARIABLE} names `{}`, and there is no such program",
                    named.display()
                ))
            })?;
            return Ok(Browser { program: found });
        }
        let named = NAMES.iter().find_map(|name| on_path(Path::new(name)));
        let placed = || {
            PLACES
                .iter()
                .filter_map(|place| expanded(place))
                .find(|path| path.is_file())
        };
        let program = named.or_else(placed).ok_or_else(|| Stop::Said(by_hand()))?;
        Ok(Browser { program })
    }

    /// All sheets of a page as PDF.
    pub(crate) fn pdf(&self, html: &str) -> Result<Vec<u8>, Stop> {
        let printed = PrintFolder::set(self, html)?;
        let out = printed.path("out.pdf");
        let mut command = printed.command(self);
        command
            .arg("--no-pdf-header-footer")
            .arg("--print-to-pdf-no-header");
        command.arg(with_value("--print-to-pdf=", &out));
        self.finish(command, &printed, LONGEST)?;
        printed.made(self, &out, b"%PDF-")
    }

    /// A picture of a page in a window of this size as PNG; millimetres.
    pub(crate) fn png(&self, html: &str, (wide, high): (f64, f64)) -> Result<Shot, Stop> {
        let printed = PrintFolder::set(self, html)?;
        let out = printed.path("out.png");
        let mut command = printed.command(self);
        let px = |mm: f64| (mm / 25.4 * 96.0).round();
        command.arg(format!("--window-size={},{}", px(wide), px(high)));
        command.arg(format!("--force-device-scale-factor={DOTS}"));
        command.arg("--hide-scrollbars").arg("--dump-dom");
        command.arg(with_value("--screenshot=", &out));
        self.finish(command, &printed, LONGEST)?;
        let bytes = printed.made(self, &out, b"\x89PNG")?;
        let dom = std::fs::read(printed.path("said"))?;
        Ok(Shot {
            bytes,
            dom: String::from_utf8_lossy(&dom).into_owned(),
        })
    }

    /// Waits for the browser to end, or ends it.
    fn finish(
        &self,
        mut command: Command,
        printed: &PrintFolder,
        longest: Duration,
    ) -> Result<(), Stop> {
        command.arg(file_url(&printed.path("page.html")));
        command.stdin(Stdio::null());
        // into files: a browser that waits for a reader of its words would never end
        command.stdout(File::create(printed.path("said"))?);
        command.stderr(File::create(printed.path("errors"))?);
        let mut child = command
            .spawn()
            .map_err(|e| self.failed(&format!("it did not start: {e}")))?;
        let begun = Instant::now();
        loop {
            if child.try_wait()?.is_some() {
                // what it leaves running would hold on to its folder
                end(&mut child);
                return Ok(());
            }
            if begun.elapsed() > longest {
                end(&mut child);
                return Err(self.failed(&format!(
                    "it was not done after {} s and was stopped",
                    longest.as_secs()
                )));
            }
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    fn failed(&self, why: &str) -> Stop {
        Stop::Said(format!(
            "could not print with `{}`: {why}\n{HAND}",
            self.program.display()
        ))
    }
}

/// The way out where no browser prints.
const HAND: &str = "print it yourself: write the page with `-o NAME.html`, open it in any browser \
                    and print it there, at 100 % (actual size), without headers and footers";

fn by_hand() -> String {
    format!(
        "for PDF and PNG a browser of the Chromium family is needed, and none was found; \
         {VARIABLE}=PROGRAM names one\n{HAND}"
    )
}

/// The number of sheets of a page, counted in what a browser made of it.
pub(crate) fn sheets_of(dom: &str) -> usize {
    // the frame of a sheet stands once more, in the template of pages that have one
    let frames = usize::from(dom.contains("<template id=\"sheet\">"));
    dom.matches("<section class=\"sheet\">")
        .count()
        .saturating_sub(frames)
}

/// A folder for one print: the page, the profile, what comes out.
struct PrintFolder {
    folder: tempfile::TempDir,
}

impl PrintFolder {
    fn set(browser: &Browser, html: &str) -> Result<PrintFolder, Stop> {
        let mut builder = tempfile::Builder::new();
        builder.prefix("sutler-print-");
        let folder = if browser.is_confined() {
            builder.tempdir_in(".")
        } else {
            builder.tempdir()
        };
        let folder =
            folder.map_err(|e| Stop::Said(format!("could not make a temporary folder: {e}")))?;
        let printed = PrintFolder { folder };
        std::fs::write(printed.path("page.html"), html)?;
        Ok(printed)
    }

    fn path(&self, name: &str) -> PathBuf {
        let folder = self.folder.path();
        let folder = folder.canonicalize().unwrap_or_else(|_| folder.to_owned());
        folder.join(name)
    }

    /// The browser with what every print needs: a new profile, no window, no network.
    fn command(&self, browser: &Browser) -> Command {
        let mut command = Command::new(&browser.program);
        command.args(QUIETLY);
        command.arg(with_value("--user-data-dir=", &self.path("profile")));
        unboxed(&mut command);
        command
    }

    /// The file that a browser wrote, if it is what was asked for.
    fn made(&self, browser: &Browser, out: &Path, begins: &[u8]) -> Result<Vec<u8>, Stop> {
        let bytes = std::fs::read(out).unwrap_or_default();
        if bytes.starts_with(begins) {
            return Ok(bytes);
        }
        let errors = std::fs::read(self.path("errors")).unwrap_or_default();
        let errors = String::from_utf8_lossy(&errors).into_owned();
        let last = errors.lines().rfind(|line| !line.trim().is_empty());
        let last: String = last
            .unwrap_or("no word why")
            .chars()
            .filter(|c| !c.is_control())
            .take(200)
            .collect();
        Err(browser.failed(&format!("nothing was written ({last})")))
    }
}

impl Browser {
    /// True where it is packaged so that it sees no files but the user's own.
    fn is_confined(&self) -> bool {
        let real = self.program.canonicalize();
        let of_snap = |path: &Path| path.starts_with("/snap") || path.ends_with("snap");
        of_snap(&self.program)
            || real.is_ok_and(|real| of_snap(&real))
            || (self.program.ends_with("chromium-browser")
                && Path::new("/snap/bin/chromium").exists())
    }
}

/// A flag and a path as one argument, whatever the path's bytes are.
fn with_value(flag: &str, path: &Path) -> std::ffi::OsString {
    let mut argument = std::ffi::OsString::from(flag);
    argument.push(path);
    argument
}

/// The address of a file (RFC 8089): every byte but a few in percent.
fn file_url(path: &Path) -> String {
    let text = path.to_string_lossy().replace('\\', "/");
    // Windows gives absolute paths in a form that addresses do not have
    let text = text.trim_start_matches("//?/");
    let mut url = String::from(if text.starts_with('/') {
        "file://"
    } else {
        "file:///"
    });
    for byte in text.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'/' | b':' | b'.' | b'-' | b'_' | b'~' => {
                url.push(char::from(byte));
            }
            byte => url += &format!("%{byte:02X}"),
        }
    }
    url
}

/// A program by its name on the search path, or by its own path.
fn on_path(name: &Path) -> Option<PathBuf> {
    if name.components().count() > 1 {
        return name.is_file().then(|| name.to_owned());
    }
    let folders = std::env::var_os("PATH")?;
    std::env::split_paths(&folders)
        .map(|folder| folder.join(name))
        .flat_map(|path| [path.clone(), path.with_extension("exe")])
        .find(|path| path.is_file())
}

/// A place with what the environment says for `~` and `%NAME%`.
fn expanded(place: &str) -> Option<PathBuf> {
    if let Some(rest) = place.strip_prefix("~/") {
        return Some(PathBuf::from(std::env::var_os("HOME")?).join(rest));
    }
    match place
        .strip_prefix('%')
        .and_then(|rest| rest.split_once("%/"))
    {
        Some((name, rest)) => Some(PathBuf::from(std::env::var_os(name)?).join(rest)),
        None => Some(PathBuf::from(place)),
    }
}

/// In a group of its own, so that all of it can be ended; without its sandbox for the superuser,
/// whom it otherwise refuses.
#[cfg(unix)]
fn unboxed(command: &mut Command) {
    use std::os::unix::process::CommandExt;
    command.process_group(0);
    if rustix::process::geteuid().is_root() {
        command.arg("--no-sandbox");
    }
}

#[cfg(not(unix))]
fn unboxed(_command: &mut Command) {}

/// Ends a browser with all that it started; nothing is left to do where it has gone already.
#[cfg(unix)]
fn end(child: &mut Child) {
    let group = i32::try_from(child.id())
        .ok()
        .and_then(rustix::process::Pid::from_raw);
    if let Some(group) = group {
        let _ = rustix::process::kill_process_group(group, rustix::process::Signal::KILL);
    }
    let _ = child.wait();
}

#[cfg(not(unix))]
fn end(child: &mut Child) {
    let id = child.id().to_string();
    let _ = Command::new("taskkill")
        .args(["/T", "/F", "/PID", &id])
        .output();
    let _ = child.kill();
    let _ = child.wait();
}

#[cfg(all(test, unix))]
mod tests;
