//! Pictures of what is on screen.

use std::path::PathBuf;

use dragback_study::curves::Kind;
use egui::{ColorImage, Rect};

/// What a picture shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Picture {
    /// One plot, with its title and names.
    Plot(Kind),
    /// The plot of settled answers.
    Sweep,
    /// All of the window.
    Window,
}

/// A picture that waits to be taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shot {
    /// What it shows.
    pub picture: Picture,
    /// Where it goes.
    pub path: PathBuf,
    /// Whether it is made of lines and texts rather than pixels.
    pub is_lines: bool,
}

impl Shot {
    /// One of pixels.
    #[must_use]
    pub const fn pixels(picture: Picture, path: PathBuf) -> Self {
        Self {
            picture,
            path,
            is_lines: false,
        }
    }

    /// One of lines and texts.
    #[must_use]
    pub const fn lines(picture: Picture, path: PathBuf) -> Self {
        Self {
            picture,
            path,
            is_lines: true,
        }
    }
}

/// A part of a picture of the window as a PNG file; `part` is in points, `scale` is pixels for each point.
///
/// # Errors
/// In words, when the part has no pixel, or the encoder refuses.
pub fn png(window: &ColorImage, part: Option<Rect>, scale: f32) -> Result<Vec<u8>, String> {
    let [wide, high] = window.size;
    let (mut left, mut top, mut right, mut bottom) = (0, 0, wide, high);
    if let Some(part) = part {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "pixels of a screen"
        )]
        let pixel =
            |points: f32, most: usize| ((points * scale).round().max(0.0) as usize).min(most);
        (left, right) = (pixel(part.left(), wide), pixel(part.right(), wide));
        (top, bottom) = (pixel(part.top(), high), pixel(part.bottom(), high));
    }
    if left >= right || top >= bottom {
        return Err("there is nothing of it on the screen".to_owned());
    }
    let side = |pixels: usize| u32::try_from(pixels).map_err(|e| e.to_string());
    let mut bytes = Vec::with_capacity(4 * (right - left) * (bottom - top));
    for row in top..bottom {
        let pixels = &window.pixels[row * wide + left..row * wide + right];
        bytes.extend(pixels.iter().flat_map(|p| p.to_srgba_unmultiplied()));
    }
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, side(right - left)?, side(bottom - top)?);
    encoder.set_color(png::ColorType::Rgba);
    encoder.set_depth(png::BitDepth::Eight);
    let mut writer = encoder.write_header().map_err(|e| e.to_string())?;
    writer.write_image_data(&bytes).map_err(|e| e.to_string())?;
    writer.finish().map_err(|e| e.to_string())?;
    Ok(file)
}

#[cfg(test)]
mod tests {
    use egui::{Color32, pos2};

    use super::*;

    /// Each pixel says where it stands.
    fn window() -> ColorImage {
        let pixels = (0..20_u8).flat_map(|y| (0..30_u8).map(move |x| Color32::from_rgb(x, y, 200)));
        ColorImage::new([30, 20], pixels.collect())
    }

    fn read(file: &[u8]) -> (u32, u32, Vec<u8>) {
        let mut reader = png::Decoder::new(std::io::Cursor::new(file))
            .read_info()
            .unwrap();
        let mut bytes = vec![0; reader.output_buffer_size().unwrap()];
        let info = reader.next_frame(&mut bytes).unwrap();
        (info.width, info.height, bytes)
    }

    #[test]
    fn a_part_is_cut_out_at_the_scale_of_the_screen() {
        let part = Rect::from_min_max(pos2(2.0, 3.0), pos2(10.0, 5.0));
        let (wide, high, bytes) = read(&png(&window(), Some(part), 2.0).unwrap());
        assert_eq!((wide, high), (16, 4));
        assert_eq!(bytes[..4], [4, 6, 200, 255]);
        assert_eq!(bytes[bytes.len() - 4..], [19, 9, 200, 255]);
    }

    #[test]
    fn the_whole_window_and_what_hangs_over_its_edge() {
        let (wide, high, _) = read(&png(&window(), None, 1.0).unwrap());
        assert_eq!((wide, high), (30, 20));
        let over = Rect::from_min_max(pos2(-5.0, 15.0), pos2(99.0, 99.0));
        let (wide, high, _) = read(&png(&window(), Some(over), 1.0).unwrap());
        assert_eq!((wide, high), (30, 5));
        let beyond = Rect::from_min_max(pos2(40.0, 0.0), pos2(50.0, 5.0));
        assert!(png(&window(), Some(beyond), 1.0).is_err());
    }
}
