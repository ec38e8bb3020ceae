//! Changes that know nothing of what the bytes mean.

use crate::chance::Chance;

/// Most bytes an input grows to by changes; reading more takes no other way.
const MOST: usize = 256 * 1024;

/// Pieces that mean something to one of the parsers, or to whoever shows its messages.
const TELLING: &[&[u8]] = &[
    b"{",
    b"}",
    b"[",
    b"]",
    b"\"",
    b",",
    b":",
    b"\\",
    b"\\u0000",
    b"\\ud800",
    b"\\udc00",
    b"null",
    b"true",
    b"1e999",
    b"-1e999",
    b"-0",
    b"1e-400",
    b"0x1",
    b"NaN",
    b"18446744073709551616",
    b"00",
    b".",
    b"<",
    b">",
    b"&",
    b"]]>",
    b"<![CDATA[",
    b"<!--",
    b"-->",
    b"<?x?>",
    b"<!DOCTYPE a [<!ENTITY b \"bbbb\">]>",
    b"&b;",
    b"&#0;",
    b"&#xd800;",
    b"&lt;",
    b"<metadata>",
    b"</metadata>",
    b"</svg>",
    b"<svg>",
    b" xmlns=\"\"",
    b"\xef\xbb\xbf",
    b"\xe2\x80\xae",
    b"\xe2\x81\xa6",
    b"\xe2\x80\x8b",
    b"\x1b[31m",
    b"\x7f",
    b"\0",
    b"\r",
    b"\n",
    b"\xff",
    b"\xc0\x80",
    b"\xed\xa0\x80",
    b"\xf4\x90\x80\x80",
    b"\xf0\x9f\x94\xa5",
];

/// What is repeated very often: nesting and long texts.
const REPEATED: &[&[u8]] =
    &[b"[", b"{\"a\":", b"<g>", b"a", b"\"", b"\\", b"9", b"&amp;", b"\n", b"\xc3\xa9"];

/// The input after one change; `other` is what pieces are taken from.
pub(super) fn changed(mut input: Vec<u8>, other: &[u8], chance: &mut Chance) -> Vec<u8> {
    let at = chance.below(input.len() + 1);
    let end = (at + chance.below(64)).min(input.len());
    match chance.below(9) {
        0 if at < input.len() => input[at] ^= 1 << chance.below(8),
        1 if at < input.len() => input[at] = chance.below(256) as u8,
        2 => input.truncate(at),
        3 => drop(input.drain(at..end)),
        4 => {
            let from = chance.below(other.len() + 1);
            input.truncate(at);
            input.extend_from_slice(&other[from..]);
        }
        5 => {
            let from = chance.below(other.len() + 1);
            let to = (from + chance.below(200)).min(other.len());
            input.splice(at..end, other[from..to].iter().copied());
        }
        6 => {
            let piece = input[at..end].repeat(1 + chance.below(40));
            input.splice(at..at, piece);
        }
        7 if chance.once_in(4) => {
            let piece = chance.one_of(REPEATED).repeat(1 + chance.below(20_000));
            input.splice(at..at, piece);
        }
        _ => drop(input.splice(at..at, chance.one_of(TELLING).iter().copied())),
    }
    input.truncate(MOST);
    input
}
