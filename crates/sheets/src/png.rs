//! The pixels of a small PNG (ISO/IEC 15948): eight bits a channel, not interlaced, without a palette.

/// Most bytes of its pixels before they are filtered back: 600 by 600, four channels, and a byte a row.
const MOST: usize = 600 * (600 * 4 + 1);

/// Width, height and the red, green and blue of each pixel on white; `None` when the file is damaged, or is another
/// sort of PNG.
pub fn pixels(file: &[u8]) -> Option<(u32, u32, Vec<u8>)> {
    let mut head = None;
    let mut packed = Vec::new();
    let mut rest = file.get(8..)?;
    while let Some((length, after)) = rest.split_first_chunk::<4>() {
        let (name, after) = after.split_first_chunk::<4>()?;
        let length = usize::try_from(u32::from_be_bytes(*length)).ok()?;
        let data = after.get(..length)?;
        match name {
            b"IHDR" => head = Some(<[u8; 13]>::try_from(data).ok()?),
            b"IDAT" => packed.extend_from_slice(data),
            _ => {}
        }
        // What follows the data is its check sum, which says nothing that unpacking does not find out.
        rest = after.get(length + 4..)?;
    }
    let [w0, w1, w2, w3, h0, h1, h2, h3, 8, color, 0, 0, 0] = head? else { return None };
    let (width, height) = (u32::from_be_bytes([w0, w1, w2, w3]), u32::from_be_bytes([h0, h1, h2, h3]));
    let channels = match color {
        0 => 1,
        2 => 3,
        4 => 2,
        6 => 4,
        _ => return None,
    };
    let across = usize::try_from(width).ok()?.checked_mul(channels)?;
    let rows = usize::try_from(height).ok()?;
    if across == 0 || rows == 0 || rows.checked_mul(across.checked_add(1)?)? > MOST {
        return None;
    }
    let filtered = miniz_oxide::inflate::decompress_to_vec_zlib_with_limit(&packed, MOST).ok()?;
    let plain = unfiltered(&filtered, across, rows, channels)?;
    Some((width, height, plain.chunks(channels).flat_map(on_white).collect()))
}

/// Takes the filter of each row back (9.2).
fn unfiltered(filtered: &[u8], across: usize, rows: usize, channels: usize) -> Option<Vec<u8>> {
    if filtered.len() != rows * (across + 1) {
        return None;
    }
    let mut plain: Vec<u8> = Vec::with_capacity(rows * across);
    for (row, line) in filtered.chunks(across + 1).enumerate() {
        let start = row * across;
        for at in 0..across {
            let before = |back: usize| plain.get(back).copied().unwrap_or(0);
            let left = if at < channels { 0 } else { before(start + at - channels) };
            let above = if row == 0 { 0 } else { before(start + at - across) };
            let corner = if row == 0 || at < channels { 0 } else { before(start + at - across - channels) };
            let guess = match line[0] {
                0 => 0,
                1 => left,
                2 => above,
                3 => u8::midpoint(left, above),
                4 => nearest(left, above, corner),
                _ => return None,
            };
            plain.push(line[at + 1].wrapping_add(guess));
        }
    }
    Some(plain)
}

/// Of three neighbours the one nearest to what they let expect (9.4).
fn nearest(left: u8, above: u8, corner: u8) -> u8 {
    let expected = i32::from(left) + i32::from(above) - i32::from(corner);
    let far = |neighbour: u8| (expected - i32::from(neighbour)).abs();
    if far(left) <= far(above) && far(left) <= far(corner) {
        left
    } else if far(above) <= far(corner) {
        above
    } else {
        corner
    }
}

/// A pixel without its transparency, as it is seen on white paper.
fn on_white(pixel: &[u8]) -> [u8; 3] {
    let (color, alpha) = match *pixel {
        [grey] => ([grey; 3], 255),
        [grey, alpha] => ([grey; 3], alpha),
        [red, green, blue] => ([red, green, blue], 255),
        [red, green, blue, alpha] => ([red, green, blue], alpha),
        _ => ([255; 3], 255),
    };
    let alpha = u32::from(alpha);
    // A mean of two bytes is a byte.
    color.map(|one| ((u32::from(one) * alpha + 255 * (255 - alpha)) / 255) as u8)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A PNG of these rows, each with its filter before it.
    fn png(width: u32, height: u32, color: u8, rows: &[u8]) -> Vec<u8> {
        let mut file = vec![0; 8];
        let mut chunk = |name: &[u8], data: &[u8]| {
            file.extend(u32::try_from(data.len()).unwrap().to_be_bytes());
            file.extend([name, data, &[0; 4]].concat());
        };
        let sides = [width.to_be_bytes(), height.to_be_bytes()].concat();
        chunk(b"IHDR", &[&sides[..], &[8, color, 0, 0, 0]].concat());
        chunk(b"IDAT", &miniz_oxide::deflate::compress_to_vec_zlib(rows, 6));
        chunk(b"IEND", &[]);
        file
    }

    #[test]
    fn every_filter_is_taken_back() {
        let rows = [0, 10, 20, 30, 1, 10, 10, 10, 2, 5, 5, 5, 3, 1, 1, 1, 4, 1, 1, 1];
        let (width, height, seen) = pixels(&png(3, 5, 0, &rows)).unwrap();
        let grey: Vec<u8> = seen.chunks(3).map(|pixel| pixel[0]).collect();
        // Worked out by hand after the standard.
        assert_eq!((width, height), (3, 5));
        assert_eq!(grey, [10, 20, 30, 10, 20, 30, 15, 25, 35, 8, 17, 27, 9, 18, 28]);
    }

    #[test]
    fn what_is_transparent_is_white_on_paper() {
        let rows = [0, 200, 0, 0, 255, 0, 0, 0, 0];
        assert_eq!(pixels(&png(2, 1, 6, &rows)).unwrap().2, [200, 0, 0, 255, 255, 255]);
        assert_eq!(pixels(&png(1, 1, 4, &[0, 0, 51])).unwrap().2, [204; 3]);
    }

    #[test]
    fn what_is_damaged_is_no_picture() {
        let whole = png(1, 1, 0, &[0, 7]);
        assert!(pixels(&whole).is_some());
        for length in 0..whole.len() - 12 {
            assert_eq!(pixels(&whole[..length]), None, "{length} bytes");
        }
        assert_eq!(pixels(&png(2, 1, 0, &[0, 7])), None, "too few pixels");
        assert_eq!(pixels(&png(1, 1, 0, &[9, 7])), None, "no such filter");
        assert_eq!(pixels(&png(60_000, 60_000, 0, &[0, 7])), None, "too large");
    }
}
