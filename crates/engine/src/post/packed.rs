//! How plain values become bytes: numbers at full width and the least byte first, texts and lists after their length.

use std::collections::BTreeMap;
use std::sync::Arc;

/// What can be sent.
pub(super) trait Packed: Sized {
    /// Puts it behind what is packed already.
    fn pack(&self, to: &mut Vec<u8>);

    /// Takes it from the front; `None` when what stands there is no such thing.
    fn unpack(from: &mut Unread) -> Option<Self>;
}

/// Bytes that are still to be unpacked.
pub(super) struct Unread<'a>(&'a [u8]);

impl<'a> Unread<'a> {
    pub(super) fn new(bytes: &'a [u8]) -> Unread<'a> {
        Unread(bytes)
    }

    /// What is left.
    pub(super) fn rest(self) -> &'a [u8] {
        self.0
    }

    fn take(&mut self, n: usize) -> Option<&'a [u8]> {
        let (front, rest) = self.0.split_at_checked(n)?;
        self.0 = rest;
        Some(front)
    }

    pub(super) fn byte(&mut self) -> Option<u8> {
        self.take(1).map(|bytes| bytes[0])
    }

    /// A text as it stands here, not copied.
    pub(super) fn text(&mut self) -> Option<&'a str> {
        let length = u32::unpack(self)?;
        std::str::from_utf8(self.take(length as usize)?).ok()
    }
}

pub(super) fn pack_text(text: &str, to: &mut Vec<u8>) {
    pack_length(text.len(), to);
    to.extend_from_slice(text.as_bytes());
}

fn pack_length(length: usize, to: &mut Vec<u8>) {
    u32::try_from(length).expect("a job has far less than four gigabytes").pack(to);
}

/// Packs a struct field by field, in the order given.
macro_rules! packed {
    ($type:ident { $($field:ident),* $(,)? }) => {
        impl Packed for $type {
            fn pack(&self, to: &mut Vec<u8>) {
                $(self.$field.pack(to);)*
            }

            fn unpack(from: &mut Unread) -> Option<$type> {
                Some($type { $($field: Packed::unpack(from)?),* })
            }
        }
    };
}

/// Packs one of several as the number that it has here, with what belongs to it.
macro_rules! packed_choice {
    ($type:ident $(<$of:ident>)? {
        $($number:literal => $choice:ident $(($($part:ident),*))? $({ $($named:ident),* })?),* $(,)?
    }) => {
        impl $(<$of: Packed>)? Packed for $type $(<$of>)? {
            fn pack(&self, to: &mut Vec<u8>) {
                match self {
                    $($type::$choice $(($($part),*))? $({ $($named),* })? => {
                        to.push($number);
                        $($($part.pack(to);)*)?
                        $($($named.pack(to);)*)?
                    })*
                }
            }

            fn unpack(from: &mut Unread) -> Option<Self> {
                match from.byte()? {
                    $($number => {
                        $($(let $part = Packed::unpack(from)?;)*)?
                        $($(let $named = Packed::unpack(from)?;)*)?
                        Some($type::$choice $(($($part),*))? $({ $($named),* })?)
                    })*
                    _ => None,
                }
            }
        }
    };
}

macro_rules! packed_number {
    ($type:ident) => {
        impl Packed for $type {
            fn pack(&self, to: &mut Vec<u8>) {
                to.extend_from_slice(&self.to_le_bytes());
            }

            fn unpack(from: &mut Unread) -> Option<$type> {
                let bytes = from.take(size_of::<$type>())?;
                bytes.try_into().ok().map($type::from_le_bytes)
            }
        }
    };
}

pub(super) use {packed, packed_choice};

packed_number!(u8);
packed_number!(u32);
packed_number!(u64);
packed_number!(i32);
packed_number!(f64);

impl Packed for bool {
    fn pack(&self, to: &mut Vec<u8>) {
        to.push(u8::from(*self));
    }

    fn unpack(from: &mut Unread) -> Option<bool> {
        match from.byte()? {
            0 => Some(false),
            1 => Some(true),
            _ => None,
        }
    }
}

impl Packed for char {
    fn pack(&self, to: &mut Vec<u8>) {
        u32::from(*self).pack(to);
    }

    fn unpack(from: &mut Unread) -> Option<char> {
        char::from_u32(u32::unpack(from)?)
    }
}

impl Packed for String {
    fn pack(&self, to: &mut Vec<u8>) {
        pack_text(self, to);
    }

    fn unpack(from: &mut Unread) -> Option<String> {
        from.text().map(str::to_owned)
    }
}

impl<T: Packed> Packed for Option<T> {
    fn pack(&self, to: &mut Vec<u8>) {
        self.is_some().pack(to);
        if let Some(value) = self {
            value.pack(to);
        }
    }

    fn unpack(from: &mut Unread) -> Option<Option<T>> {
        match bool::unpack(from)? {
            true => T::unpack(from).map(Some),
            false => Some(None),
        }
    }
}

impl<T: Packed> Packed for Vec<T> {
    fn pack(&self, to: &mut Vec<u8>) {
        pack_length(self.len(), to);
        for value in self {
            value.pack(to);
        }
    }

    fn unpack(from: &mut Unread) -> Option<Vec<T>> {
        let length = u32::unpack(from)?;
        // The length is not believed before that much has been read.
        let mut values = Vec::new();
        for _ in 0..length {
            values.push(T::unpack(from)?);
        }
        Some(values)
    }
}

impl<K: Packed + Ord, V: Packed> Packed for BTreeMap<K, V> {
    fn pack(&self, to: &mut Vec<u8>) {
        pack_length(self.len(), to);
        for (key, value) in self {
            key.pack(to);
            value.pack(to);
        }
    }

    fn unpack(from: &mut Unread) -> Option<BTreeMap<K, V>> {
        let length = u32::unpack(from)?;
        let mut values = BTreeMap::new();
        for _ in 0..length {
            values.insert(K::unpack(from)?, V::unpack(from)?);
        }
        Some(values)
    }
}

impl<T: Packed> Packed for Arc<T> {
    fn pack(&self, to: &mut Vec<u8>) {
        T::pack(self, to);
    }

    fn unpack(from: &mut Unread) -> Option<Arc<T>> {
        T::unpack(from).map(Arc::new)
    }
}

impl<A: Packed, B: Packed> Packed for (A, B) {
    fn pack(&self, to: &mut Vec<u8>) {
        self.0.pack(to);
        self.1.pack(to);
    }

    fn unpack(from: &mut Unread) -> Option<(A, B)> {
        Some((A::unpack(from)?, B::unpack(from)?))
    }
}

impl<A: Packed, B: Packed, C: Packed> Packed for (A, B, C) {
    fn pack(&self, to: &mut Vec<u8>) {
        self.0.pack(to);
        self.1.pack(to);
        self.2.pack(to);
    }

    fn unpack(from: &mut Unread) -> Option<(A, B, C)> {
        Some((A::unpack(from)?, B::unpack(from)?, C::unpack(from)?))
    }
}
