//! Writes wire types as JSON on one line (RFC 8259), through serde.
//!
//! One writer that puts names and values into a text keeps the phone's program small: a writer into
//! any stream is compiled anew, with its own errors, for each field of some eighty types.

use super::VERBATIM;
use serde::ser::{
    Serialize, SerializeMap, SerializeSeq, SerializeStruct, SerializeStructVariant, SerializeTuple,
    SerializeTupleStruct, SerializeTupleVariant, Serializer,
};
use std::fmt::Display;

/// A value that no document of ours has: a fraction, bytes, a name that is no text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Unwritable;

impl Display for Unwritable {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("it holds a value that documents do not have")
    }
}

impl std::error::Error for Unwritable {}

impl serde::ser::Error for Unwritable {
    // No wire type refuses to be written for a reason of its own.
    fn custom<T: Display>(_: T) -> Self {
        Self
    }
}

/// A value as a text.
pub(super) fn written<T: Serialize + ?Sized>(value: &T) -> Result<String, Unwritable> {
    let mut writer = Writer {
        text: String::new(),
        verbatim: false,
    };
    value.serialize(&mut writer)?;
    Ok(writer.text)
}

struct Writer {
    text: String,
    /// Whether the next text is written as it stands.
    verbatim: bool,
}

type Done = Result<(), Unwritable>;

impl Writer {
    #[inline(never)]
    fn put(&mut self, text: &str) {
        self.text.push_str(text);
    }

    /// A string in quotation marks; what RFC 8259, 7 wants escaped is, in its shortest spelling.
    #[inline(never)]
    fn quote(&mut self, text: &str) {
        self.put("\"");
        // What needs an escape is ASCII, so that the text is cut at ends of characters.
        let mut plain = 0;
        for (at, byte) in text.bytes().enumerate() {
            let short = match byte {
                b'"' | b'\\' => char::from(byte),
                0x08 => 'b',
                0x0C => 'f',
                b'\n' => 'n',
                b'\r' => 'r',
                b'\t' => 't',
                0..0x20 => 'u',
                _ => continue,
            };
            self.put(text.get(plain..at).unwrap_or_default());
            plain = at + 1;
            self.text.push('\\');
            self.text.push(short);
            if short == 'u' {
                self.put(if byte < 0x10 { "000" } else { "001" });
                self.text
                    .extend(char::from_digit(u32::from(byte & 0x0F), 16));
            }
        }
        self.put(text.get(plain..).unwrap_or_default());
        self.put("\"");
    }

    fn begin(&mut self, begin: &str, end: &'static str) -> Inside<'_> {
        self.put(begin);
        Inside {
            writer: self,
            first: true,
            end,
        }
    }

    /// `{"Variant":` and what is in it.
    #[inline(never)]
    fn begin_variant(&mut self, name: &str, begin: &str, end: &'static str) -> Inside<'_> {
        self.put("{");
        self.quote(name);
        self.put(":");
        self.begin(begin, end)
    }
}

macro_rules! whole_numbers {
    ($($method:ident $Number:ty;)*) => { $(
        fn $method(self, number: $Number) -> Done {
            self.serialize_i64(number.into())
        }
    )* };
}

macro_rules! variants {
    ($($method:ident $begin:literal $end:literal;)*) => { $(
        fn $method(
            self,
            _: &'static str,
            _: u32,
            name: &'static str,
            _: usize,
        ) -> Result<Inside<'a>, Unwritable> {
            Ok(self.begin_variant(name, $begin, $end))
        }
    )* };
}

impl<'a> Serializer for &'a mut Writer {
    type Ok = ();
    type Error = Unwritable;
    type SerializeSeq = Inside<'a>;
    type SerializeTuple = Inside<'a>;
    type SerializeTupleStruct = Inside<'a>;
    type SerializeTupleVariant = Inside<'a>;
    type SerializeMap = Inside<'a>;
    type SerializeStruct = Inside<'a>;
    type SerializeStructVariant = Inside<'a>;

    whole_numbers! {
        serialize_i8 i8;
        serialize_i16 i16;
        serialize_i32 i32;
        serialize_u8 u8;
        serialize_u16 u16;
        serialize_u32 u32;
    }

    fn serialize_i64(self, number: i64) -> Done {
        self.put(&number.to_string());
        Ok(())
    }

    fn serialize_u64(self, number: u64) -> Done {
        self.put(&number.to_string());
        Ok(())
    }

    fn serialize_bool(self, value: bool) -> Done {
        self.put(if value { "true" } else { "false" });
        Ok(())
    }

    fn serialize_str(self, text: &str) -> Done {
        if std::mem::take(&mut self.verbatim) {
            self.put(text);
        } else {
            self.quote(text);
        }
        Ok(())
    }

    fn serialize_char(self, letter: char) -> Done {
        self.serialize_str(letter.encode_utf8(&mut [0; 4]))
    }

    fn serialize_f32(self, _: f32) -> Done {
        Err(Unwritable)
    }

    fn serialize_f64(self, _: f64) -> Done {
        Err(Unwritable)
    }

    fn serialize_bytes(self, _: &[u8]) -> Done {
        Err(Unwritable)
    }

    fn serialize_none(self) -> Done {
        self.serialize_unit()
    }

    fn serialize_some<T: Serialize + ?Sized>(self, value: &T) -> Done {
        value.serialize(self)
    }

    fn serialize_unit(self) -> Done {
        self.put("null");
        Ok(())
    }

    fn serialize_unit_struct(self, _: &'static str) -> Done {
        self.serialize_unit()
    }

    fn serialize_unit_variant(self, _: &'static str, _: u32, name: &'static str) -> Done {
        self.quote(name);
        Ok(())
    }

    fn serialize_newtype_struct<T: Serialize + ?Sized>(
        self,
        name: &'static str,
        value: &T,
    ) -> Done {
        self.verbatim = name == VERBATIM;
        value.serialize(self)
    }

    fn serialize_newtype_variant<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        _: u32,
        name: &'static str,
        value: &T,
    ) -> Done {
        let inside = self.begin_variant(name, "", "}");
        value.serialize(&mut *inside.writer)?;
        inside.close();
        Ok(())
    }

    fn serialize_seq(self, _: Option<usize>) -> Result<Inside<'a>, Unwritable> {
        Ok(self.begin("[", "]"))
    }

    fn serialize_tuple(self, _: usize) -> Result<Inside<'a>, Unwritable> {
        Ok(self.begin("[", "]"))
    }

    fn serialize_tuple_struct(self, _: &'static str, _: usize) -> Result<Inside<'a>, Unwritable> {
        Ok(self.begin("[", "]"))
    }

    variants! {
        serialize_tuple_variant "[" "]}";
        serialize_struct_variant "{" "}}";
    }

    fn serialize_map(self, _: Option<usize>) -> Result<Inside<'a>, Unwritable> {
        Ok(self.begin("{", "}"))
    }

    fn serialize_struct(self, _: &'static str, _: usize) -> Result<Inside<'a>, Unwritable> {
        Ok(self.begin("{", "}"))
    }
}

/// What is inside an object or a list.
struct Inside<'a> {
    writer: &'a mut Writer,
    first: bool,
    end: &'static str,
}

impl Inside<'_> {
    #[inline(never)]
    fn part(&mut self) {
        if !std::mem::take(&mut self.first) {
            self.writer.put(",");
        }
    }

    #[inline(never)]
    fn name(&mut self, name: &str) {
        self.part();
        self.writer.quote(name);
        self.writer.put(":");
    }

    fn close(self) {
        self.writer.put(self.end);
    }

    fn value<T: Serialize + ?Sized>(&mut self, value: &T) -> Done {
        self.part();
        value.serialize(&mut *self.writer)
    }

    fn field<T: Serialize + ?Sized>(&mut self, name: &str, value: &T) -> Done {
        self.name(name);
        value.serialize(&mut *self.writer)
    }
}

macro_rules! lists {
    ($($Trait:ident $method:ident;)*) => { $(
        impl $Trait for Inside<'_> {
            type Ok = ();
            type Error = Unwritable;

            fn $method<T: Serialize + ?Sized>(&mut self, value: &T) -> Done {
                self.value(value)
            }

            fn end(self) -> Done {
                self.close();
                Ok(())
            }
        }
    )* };
}

lists! {
    SerializeSeq serialize_element;
    SerializeTuple serialize_element;
    SerializeTupleStruct serialize_field;
    SerializeTupleVariant serialize_field;
}

macro_rules! objects {
    ($($Trait:ident)*) => { $(
        impl $Trait for Inside<'_> {
            type Ok = ();
            type Error = Unwritable;

            fn serialize_field<T: Serialize + ?Sized>(
                &mut self,
                name: &'static str,
                value: &T,
            ) -> Done {
                self.field(name, value)
            }

            fn end(self) -> Done {
                self.close();
                Ok(())
            }
        }
    )* };
}

objects! { SerializeStruct SerializeStructVariant }

impl SerializeMap for Inside<'_> {
    type Ok = ();
    type Error = Unwritable;

    fn serialize_key<T: Serialize + ?Sized>(&mut self, name: &T) -> Done {
        self.part();
        let from = self.writer.text.len();
        name.serialize(&mut *self.writer)?;
        // A name is a text, whatever type it has.
        match self.writer.text.as_bytes().get(from) {
            Some(b'"') => Ok(()),
            _ => Err(Unwritable),
        }
    }

    fn serialize_value<T: Serialize + ?Sized>(&mut self, value: &T) -> Done {
        self.writer.put(":");
        value.serialize(&mut *self.writer)
    }

    fn end(self) -> Done {
        self.close();
        Ok(())
    }
}
