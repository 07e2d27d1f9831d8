//! Opens the window, and says why when it cannot.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use egui::ViewportBuilder;

use crate::app::App;
use crate::command::prefs_path;
use crate::options::{GuiError, Options};

/// Opens the window and returns when it is closed.
///
/// # Errors
/// When there is no display, a library is missing, or the system refuses; see [`GuiError::never_opened`].
pub fn run(options: Options) -> Result<(), GuiError> {
    run_with(options, prefs_path(), None)
}

/// As [`run`], with preferences in a file of one's own (none: those of a first start, not kept) and a size in points.
///
/// # Errors
/// As [`run`].
pub fn run_with(
    options: Options,
    prefs: Option<PathBuf>,
    size: Option<[f32; 2]>,
) -> Result<(), GuiError> {
    check_display()?;
    let is_open = Arc::new(AtomicBool::new(false));
    let said = Arc::new(Mutex::new(String::new()));
    hush(&is_open, &said);
    let opened = Arc::clone(&is_open);
    let native = eframe::NativeOptions {
        viewport: ViewportBuilder::default()
            .with_title("Dragback")
            .with_app_id("dragback")
            .with_icon(icon())
            .with_inner_size(size.unwrap_or([1280.0, 720.0]))
            .with_min_inner_size([800.0, 500.0]),
        ..eframe::NativeOptions::default()
    };
    let outcome = catch_unwind(AssertUnwindSafe(|| {
        eframe::run_native(
            "Dragback",
            native,
            Box::new(move |cc| {
                opened.store(true, Ordering::Release);
                Ok(Box::new(App::with_prefs(&cc.egui_ctx, options, prefs)))
            }),
        )
    }));
    let detail = match outcome {
        Ok(Ok(())) => return Ok(()),
        Ok(Err(error)) => error.to_string(),
        Err(_) => said.lock().unwrap_or_else(PoisonError::into_inner).clone(),
    };
    if is_open.swap(true, Ordering::AcqRel) {
        Err(GuiError::Crashed { detail })
    } else {
        Err(GuiError::from_detail(detail))
    }
}

/// The icon of the window; none, should the picture not be readable.
fn icon() -> egui::IconData {
    let picture = include_bytes!("../../../assets/icon.png");
    eframe::icon_data::from_png_bytes(picture).unwrap_or_default()
}

/// Windowing libraries panic or wait when there is no display at all, so this is looked at first.
fn check_display() -> Result<(), GuiError> {
    if cfg!(not(all(unix, not(target_os = "macos")))) {
        return Ok(());
    }
    let is_set = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    let has_any = ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"]
        .into_iter()
        .any(is_set);
    if has_any {
        Ok(())
    } else {
        Err(GuiError::NoDisplay)
    }
}

/// Keeps a panic of the windowing library from printing before the window is open: it is told as an error then. Panics after that print as usual.
fn hush(is_open: &Arc<AtomicBool>, said: &Arc<Mutex<String>>) {
    let (is_open, said) = (Arc::clone(is_open), Arc::clone(said));
    let usual = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |info| {
        let text = info
            .payload_as_str()
            .unwrap_or("no reason given")
            .to_owned();
        *said.lock().unwrap_or_else(PoisonError::into_inner) = text;
        if is_open.load(Ordering::Acquire) {
            usual(info);
        }
    }));
}

#[cfg(test)]
mod tests {
    use dragback_units::System;

    use super::*;

    #[test]
    fn the_icon_can_be_read() {
        let icon = icon();
        assert!(icon.width >= 32 && icon.width == icon.height);
        assert_eq!(icon.rgba.len(), 4 * (icon.width * icon.height) as usize);
    }

    #[test]
    fn units_that_are_asked_for_are_those_of_the_window() {
        let system = |units| {
            let options = Options {
                units,
                ..Options::default()
            };
            App::new(&egui::Context::default(), options)
                .state()
                .prefs
                .system
        };
        assert_eq!(system(Some(System::Us)), System::Us);
        assert_eq!(system(None), System::Metric);
    }

    #[test]
    fn a_missing_display_is_told_and_not_a_panic() {
        // Only where the tests themselves run without a display, as on a build machine.
        let has_display = ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"]
            .into_iter()
            .any(|name| std::env::var_os(name).is_some());
        if cfg!(target_os = "linux") && !has_display {
            let error = run(Options::default()).unwrap_err();
            assert!(matches!(error, GuiError::NoDisplay) && error.never_opened());
        } else {
            assert!(check_display().is_ok());
        }
    }
}
