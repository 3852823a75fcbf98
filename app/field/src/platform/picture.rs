//! Text and a code as a picture, which every program that passes pictures on takes; and a photo drawn
//! anew.

use super::files::FileError;
use super::{log, window};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, CanvasRenderingContext2d, HtmlCanvasElement, HtmlImageElement};

/// What [`png`] makes.
pub const PNG: &str = "image/png";

/// What [`jpeg`] makes.
pub const JPEG: &str = "image/jpeg";

/// The longer side of a photo that is given out, in px: comb can be judged on it, and a slow network
/// carries it.
const PHOTO_SIDE: u32 = 1600;

/// Width in px, as wide as most phones' screens are fine.
const WIDTH: u32 = 720;
const MARGIN: u32 = 32;
const TEXT_WIDTH: u32 = WIDTH - 2 * MARGIN;

/// A line of text, parted where it is too long.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// The words.
    pub text: String,
    /// Size of the letters in px.
    pub size: u32,
    /// Whether in bold letters.
    pub bold: bool,
}

/// A code: squares on a side, and runs of dark ones, each from the left, from the top, how long.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Code {
    /// Squares on a side.
    pub side: i32,
    /// Runs of dark squares.
    pub dark: Vec<(i32, i32, i32)>,
}

/// Draws lines below each other and the code at the end.
///
/// # Errors
/// [`FileError::Failed`].
pub async fn png(lines: &[Line], code: Option<&Code>) -> Result<Blob, FileError> {
    let canvas = canvas()?;
    let pen = pen(&canvas)?;
    let parted: Vec<Line> = lines.iter().flat_map(|line| parts(&pen, line)).collect();
    let squares = code.map_or(0, |code| square_px(code) * code.side);
    let text: u32 = parted.iter().map(Line::height).sum();
    let height = f64::from(text + 2 * MARGIN) + f64::from(squares);
    canvas.set_width(WIDTH);
    canvas.set_height(text + 2 * MARGIN + squares.unsigned_abs());
    pen.set_fill_style_str("#fff");
    pen.fill_rect(0.0, 0.0, f64::from(WIDTH), height);
    pen.set_fill_style_str("#000");
    let mut below = MARGIN;
    for line in &parted {
        below += line.height();
        pen.set_font(&line.font());
        pen.fill_text(&line.text, MARGIN.into(), f64::from(below - line.size / 3))
            .map_err(failed)?;
    }
    if let Some(code) = code {
        let unit = square_px(code);
        let left = (WIDTH.cast_signed() - squares) / 2;
        for (x, y, length) in &code.dark {
            pen.fill_rect(
                (left + x * unit).into(),
                f64::from(below) + f64::from(y * unit),
                (length * unit).into(),
                unit.into(),
            );
        }
    }
    blob_of(&canvas, PNG).await
}

/// Draws a photo anew, at most so large that a slow network carries it. What the camera wrote into
/// its file, as the place where it was taken, is left behind.
///
/// # Errors
/// [`FileError::Failed`].
pub async fn jpeg(photo: &HtmlImageElement) -> Result<Blob, FileError> {
    let (width, height) = (photo.natural_width(), photo.natural_height());
    let longer = width.max(height).max(1);
    let scaled = |side: u32| (side * PHOTO_SIDE.min(longer) / longer).max(1);
    let canvas = canvas()?;
    canvas.set_width(scaled(width));
    canvas.set_height(scaled(height));
    pen(&canvas)?
        .draw_image_with_html_image_element_and_dw_and_dh(
            photo,
            0.0,
            0.0,
            scaled(width).into(),
            scaled(height).into(),
        )
        .map_err(failed)?;
    blob_of(&canvas, JPEG).await
}

/// Whole px a square, so that its edges are sharp.
const fn square_px(code: &Code) -> i32 {
    TEXT_WIDTH.cast_signed() / code.side
}

impl Line {
    const fn height(&self) -> u32 {
        self.size * 3 / 2
    }

    fn font(&self) -> String {
        let weight = if self.bold { "bold" } else { "normal" };
        format!("{weight} {}px system-ui, sans-serif", self.size)
    }
}

/// A line in as many parts as its width wants, between words and in words that are too long.
fn parts(pen: &CanvasRenderingContext2d, line: &Line) -> Vec<Line> {
    pen.set_font(&line.font());
    let fits = |text: &str| {
        pen.measure_text(text)
            .is_ok_and(|measured| measured.width() <= TEXT_WIDTH.into())
    };
    let mut parts = vec![String::new()];
    for word in line.text.split_whitespace() {
        let Some(last) = parts.last_mut() else { break };
        let longer = format!("{last} {word}");
        if fits(longer.trim_start()) {
            longer.trim_start().clone_into(last);
            continue;
        }
        if !last.is_empty() {
            parts.push(String::new());
        }
        for letter in word.chars() {
            let Some(last) = parts.last_mut() else { break };
            last.push(letter);
            if !fits(last) {
                last.pop();
                parts.push(letter.to_string());
            }
        }
    }
    parts
        .into_iter()
        .map(|text| Line {
            text,
            ..line.clone()
        })
        .collect()
}

fn canvas() -> Result<HtmlCanvasElement, FileError> {
    window()
        .ok()
        .and_then(|window| window.document())
        .ok_or(FileError::Failed)?
        .create_element("canvas")
        .map_err(failed)?
        .dyn_into()
        .map_err(|_| FileError::Failed)
}

fn pen(canvas: &HtmlCanvasElement) -> Result<CanvasRenderingContext2d, FileError> {
    canvas
        .get_context("2d")
        .map_err(failed)?
        .and_then(|pen| pen.dyn_into().ok())
        .ok_or(FileError::Failed)
}

async fn blob_of(canvas: &HtmlCanvasElement, media_type: &str) -> Result<Blob, FileError> {
    let promise = js_sys::Promise::new(&mut |resolve, reject| {
        if let Err(error) = canvas.to_blob_with_type(&resolve, media_type) {
            let _ = reject.call1(&JsValue::NULL, &error);
        }
    });
    JsFuture::from(promise)
        .await
        .map_err(failed)?
        .dyn_into()
        .map_err(|_| FileError::Failed)
}

#[expect(clippy::needless_pass_by_value, reason = "shaped for map_err")]
fn failed(problem: JsValue) -> FileError {
    log(&problem);
    FileError::Failed
}
