//! Reading and writing of files.

use std::fs;
use std::io::{Read as _, Write as _};
use std::path::{Path, PathBuf};

use dragback_scenario::{MAX_BYTES, Problem};

/// Reads no more of a file than a scenario may have.
pub fn read_text(path: &Path) -> Result<String, Problem> {
    let fault = |message: String, advice: &str| Problem::of_text(None, message, advice);
    let shown = path.display();
    let about = |error: std::io::Error| match error.kind() {
        std::io::ErrorKind::NotFound => fault(
            format!("there is no file {shown}"),
            "check the path; it may be typed in full or from where the program was started",
        ),
        std::io::ErrorKind::PermissionDenied => fault(
            format!("{shown} may not be read"),
            "ask for the right to read it, or copy it",
        ),
        _ => fault(
            format!("{shown} cannot be read: {error}"),
            "copy it to another place and try again",
        ),
    };
    let meta = fs::metadata(path).map_err(about)?;
    if !meta.is_file() {
        return Err(fault(
            format!("{shown} is not a file"),
            "choose a scenario file; its name usually ends in .ron",
        ));
    }
    let mut bytes = Vec::new();
    let limit = u64::try_from(MAX_BYTES)
        .unwrap_or(u64::MAX)
        .saturating_add(1);
    fs::File::open(path)
        .map_err(about)?
        .take(limit)
        .read_to_end(&mut bytes)
        .map_err(about)?;
    if bytes.len() > MAX_BYTES {
        let message = format!(
            "{shown} is longer than the {} kB that a scenario may have",
            MAX_BYTES / 1000
        );
        return Err(fault(message, "choose a scenario file"));
    }
    String::from_utf8(bytes).map_err(|_| {
        fault(
            format!("{shown} is not text"),
            "choose a scenario file, or save it as UTF-8",
        )
    })
}

/// Writes a file whole or not at all: next to its place first, then put there in one step.
///
/// # Errors
/// What the system says.
pub fn write_whole(path: &Path, text: &str) -> std::io::Result<()> {
    write_bytes(path, text.as_bytes())
}

/// As [`write_whole`], for what is no text.
///
/// # Errors
/// What the system says.
pub fn write_bytes(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty());
    if let Some(folder) = folder {
        fs::create_dir_all(folder)?;
    }
    let beside = beside(path);
    let written = fs::File::create(&beside).and_then(|mut file| {
        file.write_all(bytes)?;
        file.sync_all()
    });
    let done = written.and_then(|()| fs::rename(&beside, path));
    if done.is_err() {
        // What lies beside is of no use to anyone.
        let _ = fs::remove_file(&beside);
    }
    done
}

/// Name of the unfinished file next to a path.
fn beside(path: &Path) -> PathBuf {
    let mut name = path.file_name().unwrap_or_default().to_os_string();
    name.push(format!(".{}.part", std::process::id()));
    path.with_file_name(name)
}

/// Appends a line to the report that tests ask for.
pub fn append_line(path: &Path, line: &str) -> std::io::Result<()> {
    let mut file = fs::OpenOptions::new()
        .create(true)
        .append(true)
        .open(path)?;
    writeln!(file, "{line}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_written_whole_and_nothing_stays_beside_it() {
        let folder = std::env::temp_dir().join(format!("dragback-write-{}", std::process::id()));
        let path = folder.join("deep").join("line.ron");
        write_whole(&path, "one").unwrap();
        write_whole(&path, "two").unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), "two");
        assert_eq!(fs::read_dir(path.parent().unwrap()).unwrap().count(), 1);
        // A folder stands where the file should go: the old state stays.
        assert!(write_whole(&folder.join("deep"), "three").is_err());
        assert_eq!(fs::read_dir(&folder).unwrap().count(), 1);
        fs::remove_dir_all(&folder).unwrap();
    }
}
