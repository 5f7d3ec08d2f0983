//! A text as a square code to photograph (ISO/IEC 18004), in letters of a terminal. Refuses to know what the text is.

use qrcode::{Color, QrCode};

/// Light around the code, in modules (ISO/IEC 18004, 5.3.8, asks for four).
const QUIET: usize = 4;

/// The code, two rows of modules in each line; `None` if the text is too long for one.
///
/// A terminal is dark or light, and nobody knows which. With colours a module has its own, dark on light as the standard has it;
/// without, light modules are drawn, which is right where letters are light on dark.
pub(super) fn drawn(text: &str, coloured: bool) -> Option<String> {
    let code = QrCode::new(text).ok()?;
    let width = code.width();
    let colours = code.to_colors();
    let is_dark = |row: usize, column: usize| {
        let inside = |place: usize| place.checked_sub(QUIET).filter(|place| *place < width);
        let module = inside(row).zip(inside(column)).and_then(|(row, column)| colours.get(row * width + column));
        module == Some(&Color::Dark)
    };
    let whole = width + 2 * QUIET;
    let mut drawn = String::new();
    for row in (0..whole).step_by(2) {
        drawn.push_str(if coloured { "\u{1b}[38;5;231;48;5;16m" } else { "" });
        for column in 0..whole {
            // An odd number of rows ends with half a line, which is light.
            drawn.push(match (is_dark(row, column), is_dark(row + 1, column)) {
                (false, false) => '█',
                (false, true) => '▀',
                (true, false) => '▄',
                (true, true) => ' ',
            });
        }
        drawn.push_str(if coloured { "\u{1b}[0m\n" } else { "\n" });
    }
    Some(drawn)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test may stop at the first surprise")]

    use super::*;

    #[test]
    fn each_module_is_drawn_once_with_light_around() {
        let text = "http://192.0.2.7:8654/pair?code=ABCDEFGH";
        let drawn = drawn(text, false).unwrap();
        let code = QrCode::new(text).unwrap();
        let lines: Vec<Vec<char>> = drawn.lines().map(|line| line.chars().collect()).collect();
        assert_eq!(lines.len(), (code.width() + 8).div_ceil(2));
        assert!(lines.iter().all(|line| line.len() == code.width() + 8));
        assert!(lines[0].iter().chain(&lines[1]).all(|letter| *letter == '█'), "{drawn}");
        // The finder pattern at the upper left: seven dark modules over one dark and five light (ISO/IEC 18004, 5.3.2).
        assert_eq!(lines[2][4..11].iter().collect::<String>(), " ▄▄▄▄▄ ", "{drawn}");
        let dark = lines.iter().flatten().map(|letter| match letter {
            ' ' => 2,
            '█' => 0,
            _ => 1,
        });
        assert_eq!(dark.sum::<usize>(), code.to_colors().iter().filter(|colour| **colour == Color::Dark).count());
    }
}
