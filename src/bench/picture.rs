//! Which kind of picture some bytes are, by what they hold. Refuses to go by a name, and to draw anything.
//!
//! A file that only begins like a picture, or that is a picture and something else behind it, is not one: its parts are walked
//! to the end. Nothing in it is decoded.

/// The kinds that are known: the media type, and how the name of such a file ends.
type PictureKind = (&'static str, &'static str);

/// The media type of a picture and how the name of its file ends; `None` if it is not a picture a camera or telephone makes.
#[must_use]
pub fn picture_kind(bytes: &[u8]) -> Option<PictureKind> {
    jpeg(bytes).or_else(|| png(bytes)).or_else(|| webp(bytes)).or_else(|| heif(bytes))
}

/// ITU-T T.81: the marker SOI (B.1.1.3), segments with their lengths (B.1.1.4) among which is a frame (B.2.2), then a scan, and
/// at the end the marker EOI. Cameras put more pictures of their own behind that.
fn jpeg(bytes: &[u8]) -> Option<PictureKind> {
    let mut rest = bytes.strip_prefix(&[0xff, 0xd8])?;
    let mut has_frame = false;
    loop {
        let [0xff, marker, after @ ..] = rest else { return None };
        rest = match marker {
            // Any number of fill bytes may come before a marker (B.1.1.2).
            0xff => rest.get(1..)?,
            0xda if has_frame => {
                return after.windows(2).any(|pair| pair == [0xff, 0xd9]).then_some(("image/jpeg", "jpg"));
            }
            // Without a frame, or with a marker that stands alone, a scan has not begun as it must (Table B.1).
            0x00..=0x01 | 0xd0..=0xda => return None,
            _ => {
                has_frame |= matches!(marker, 0xc0..=0xcf) && !matches!(marker, 0xc4 | 0xc8 | 0xcc);
                let length = usize::from(u16::from_be_bytes(*after.first_chunk()?));
                if length < 2 {
                    return None;
                }
                after.get(length..)?
            }
        };
    }
}

/// W3C PNG, third edition: the signature (5.2), then chunks with their lengths (5.3) from IHDR with 13 bytes (11.2.1) to IEND, and
/// nothing after it.
fn png(bytes: &[u8]) -> Option<PictureKind> {
    let mut rest = bytes.strip_prefix(b"\x89PNG\r\n\x1a\n")?;
    let (mut is_first, mut has_data) = (true, false);
    while let Some((length, after)) = rest.split_first_chunk::<4>() {
        let length = usize::try_from(u32::from_be_bytes(*length)).ok()?;
        let (name, after) = after.split_first_chunk::<4>()?;
        if is_first != (name == b"IHDR") || (is_first && length != 13) {
            return None;
        }
        is_first = false;
        has_data |= name == b"IDAT";
        // The data, and four bytes of check.
        rest = after.get(length.checked_add(4)?..)?;
        if name == b"IEND" {
            return (has_data && length == 0 && rest.is_empty()).then_some(("image/png", "png"));
        }
    }
    None
}

/// RFC 9649, 2.4: `RIFF`, the size of all that follows, `WEBP`, and a first chunk of one of the three kinds (2.5 to 2.7).
fn webp(bytes: &[u8]) -> Option<PictureKind> {
    let (size, rest) = bytes.strip_prefix(b"RIFF")?.split_first_chunk::<4>()?;
    let size = usize::try_from(u32::from_le_bytes(*size)).ok()?;
    let mut rest = rest.get(..size).filter(|inside| inside.len() == rest.len())?.strip_prefix(b"WEBP")?;
    if !["VP8 ", "VP8L", "VP8X"].iter().any(|name| rest.starts_with(name.as_bytes())) {
        return None;
    }
    while let Some((_, after)) = rest.split_first_chunk::<4>() {
        let (length, after) = after.split_first_chunk::<4>()?;
        let length = usize::try_from(u32::from_le_bytes(*length)).ok()?;
        // A chunk of odd length is followed by one byte of padding (2.3).
        rest = after.get(length.checked_add(length % 2)?..)?;
    }
    rest.is_empty().then_some(("image/webp", "webp"))
}

/// ISO/IEC 23008-12 (HEIF): boxes of ISO/IEC 14496-12 (4.2) that fill the file, `ftyp` first with a brand of still pictures
/// (ISO/IEC 23008-12, 10 and annex B; AVIF 1.2, 6), and a `meta` box among them. The clauses are from memory, unverified.
fn heif(bytes: &[u8]) -> Option<PictureKind> {
    let mut rest = bytes;
    let (mut kind, mut has_meta) = (None, false);
    while !rest.is_empty() {
        let (size, after) = rest.split_first_chunk::<4>()?;
        let (name, after) = after.split_first_chunk::<4>()?;
        let size = match u32::from_be_bytes(*size) {
            // To the end of the file.
            0 => rest.len(),
            // The size is in the next eight bytes.
            1 => usize::try_from(u64::from_be_bytes(*after.first_chunk()?)).ok().filter(|size| *size >= 16)?,
            size => usize::try_from(size).ok().filter(|size| *size >= 8)?,
        };
        let inside = rest.get(..size)?;
        if kind.is_none() {
            kind = Some(brand(name, inside)?);
        }
        has_meta |= name == b"meta";
        rest = rest.get(size..)?;
    }
    kind.filter(|_| has_meta)
}

/// What the first box says a file is.
fn brand(name: &[u8; 4], inside: &[u8]) -> Option<PictureKind> {
    let brand = inside.get(8..12).filter(|_| name == b"ftyp")?;
    match brand {
        b"heic" | b"heix" | b"heim" | b"heis" => Some(("image/heic", "heic")),
        b"mif1" | b"mif2" => Some(("image/heif", "heif")),
        b"avif" => Some(("image/avif", "avif")),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

    use super::*;

    fn jpeg_of(inside: &[u8]) -> Vec<u8> {
        let frame = [0xff, 0xc0, 0, 11, 8, 0, 1, 0, 1, 1, 1, 0x11, 0];
        let scan = [0xff, 0xda, 0, 8, 1, 1, 0, 0, 63, 0, 0x55, 0xff, 0xd9];
        [&[0xff, 0xd8][..], inside, &frame, &scan].concat()
    }

    fn chunk(name: &[u8], data: &[u8]) -> Vec<u8> {
        let length = u32::try_from(data.len()).unwrap();
        [&length.to_be_bytes()[..], name, data, &[0; 4]].concat()
    }

    fn png_of(behind: &[u8]) -> Vec<u8> {
        let chunks =
            [chunk(b"IHDR", &[0; 13]), chunk(b"tEXt", b"a"), chunk(b"IDAT", b"data"), chunk(b"IEND", b"")].concat();
        [b"\x89PNG\r\n\x1a\n", chunks.as_slice(), behind].concat()
    }

    fn webp_of(chunks: &[u8]) -> Vec<u8> {
        let size = u32::try_from(chunks.len() + 4).unwrap();
        [b"RIFF", &size.to_le_bytes()[..], b"WEBP", chunks].concat()
    }

    fn heif_of(brand: &[u8]) -> Vec<u8> {
        [
            &[0, 0, 0, 20][..],
            b"ftyp",
            brand,
            &[0; 4],
            b"mif1",
            &[0, 0, 0, 12],
            b"meta",
            &[0; 4],
            &[0, 0, 0, 9],
            b"mdat",
            b"x",
        ]
        .concat()
    }

    fn ending(bytes: &[u8]) -> &'static str {
        picture_kind(bytes).map_or("", |(_, ending)| ending)
    }

    #[test]
    fn pictures_are_known_by_their_parts() {
        assert_eq!(picture_kind(&jpeg_of(b"")), Some(("image/jpeg", "jpg")));
        assert_eq!(ending(&jpeg_of(&[0xff, 0xff, 0xe1, 0, 4, 1, 2])), "jpg");
        assert_eq!(picture_kind(&png_of(b"")), Some(("image/png", "png")));
        assert_eq!(picture_kind(&webp_of(b"VP8L\x03\0\0\0abc\0")), Some(("image/webp", "webp")));
        assert_eq!(ending(&heif_of(b"heic")), "heic");
        assert_eq!(ending(&heif_of(b"mif1")), "heif");
        assert_eq!(ending(&heif_of(b"avif")), "avif");
    }

    #[test]
    fn what_is_cut_off_is_not_a_picture() {
        for whole in [jpeg_of(b""), png_of(b""), webp_of(b"VP8 \x02\0\0\0ab"), heif_of(b"heic")] {
            assert_ne!(ending(&whole), "");
            for length in 0..whole.len() {
                let cut = whole.get(..length).unwrap();
                // A file of boxes that is cut between two boxes has all it needs.
                assert!(
                    ending(cut).is_empty() || (ending(cut) == "heic" && length == 32),
                    "{length} of {}",
                    whole.len()
                );
            }
        }
    }

    #[test]
    fn nothing_that_runs_is_a_picture() {
        let svg = "<svg xmlns=\"http://www.w3.org/2000/svg\"><script>x</script></svg>";
        let html = "<!DOCTYPE html><script>x</script>";
        let texts: [&[u8]; 9] = [
            b"",
            svg.as_bytes(),
            html.as_bytes(),
            b"\xef\xbb\xbf<?xml version=\"1.0\"?><svg/>",
            b"%PDF-1.7\n",
            b"PK\x03\x04",
            b"GIF89a=1;alert(1)",
            b"BM<script>",
            b"#!/bin/sh\n",
        ];
        for text in texts {
            assert_eq!(picture_kind(text), None, "{}", String::from_utf8_lossy(text));
        }
        // With the beginning of a picture before it, or a picture behind it.
        for text in texts {
            for beginning in [
                &b"\xff\xd8\xff"[..],
                b"\xff\xd8\xff\xe0",
                b"\xff\xd8",
                b"\x89PNG\r\n\x1a\n",
                b"RIFF",
                b"\0\0\0\x0cftyp",
            ] {
                assert_eq!(picture_kind(&[beginning, text].concat()), None, "{}", String::from_utf8_lossy(text));
            }
            if !text.is_empty() {
                assert_eq!(picture_kind(&[text, &jpeg_of(b"")].concat()), None);
                assert_eq!(picture_kind(&png_of(text)), None, "behind a PNG: {}", String::from_utf8_lossy(text));
                let webp = [&webp_of(b"VP8 \x02\0\0\0ab"), text].concat();
                assert_eq!(picture_kind(&webp), None, "behind a WebP");
                assert_eq!(picture_kind(&[&heif_of(b"heic"), text].concat()), None, "behind a HEIF");
            }
        }
        assert_eq!(picture_kind(&heif_of(b"isom")), None, "a film");
        assert_eq!(picture_kind(&webp_of(b"fmt \x02\0\0\0ab")), None, "sound");
    }

    #[test]
    fn lengths_that_lie_are_no_pictures() {
        assert_eq!(picture_kind(b"\xff\xd8\xff\xe0\0\0\xff\xd9"), None);
        assert_eq!(picture_kind(b"\xff\xd8\xff\xda\0\x08\xff\xd9"), None, "a scan without a frame");
        assert_eq!(picture_kind(b"\x89PNG\r\n\x1a\n\xff\xff\xff\xffIHDR"), None);
        assert_eq!(picture_kind(b"\0\0\0\x01ftypheic\xff\xff\xff\xff\xff\xff\xff\xff"), None);
        assert_eq!(picture_kind(b"\0\0\0\x04ftypheic"), None);
        assert_eq!(picture_kind(&webp_of(b"VP8 \xff\xff\xff\xffab")), None);
    }
}
