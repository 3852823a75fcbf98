//! Reads wire types out of a tree of JSON, through serde.
//!
//! One reader for all types keeps the phone's program small: a reader that parses while it reads is
//! compiled anew, with all its parsing, for each of some eighty types. And it is stricter: an object
//! is never read from a list of its fields' values, as serde's readers otherwise allow.

use super::tree::{Kind, Node, Values};
use serde::de::{
    DeserializeSeed, Deserializer, EnumAccess, Expected, MapAccess, SeqAccess, Unexpected,
    VariantAccess, Visitor,
};
use serde::forward_to_deserialize_any;
use std::fmt::Display;

/// The name by which [`super::Verbatim`] asks for a value as it is written.
pub(super) const VERBATIM: &str = "combgate verbatim";

/// What does not fit, in what, and where. Behind a pointer, for it is carried out through every
/// value around it.
#[derive(Debug)]
pub(super) struct Unfit(Box<Details>);

#[derive(Debug)]
struct Details {
    reason: String,
    /// Names of the fields around it, the outermost first.
    inside: String,
    at: Option<usize>,
}

impl Unfit {
    /// The place is that of the innermost value; names are gathered on the way out.
    #[cold]
    fn inside(mut self, name: &str, at: usize) -> Self {
        let inside = &mut self.0.inside;
        let dot = if inside.is_empty() { "" } else { "." };
        *inside = [name.trim_matches('"'), dot, inside].concat();
        self.at(at)
    }

    #[cold]
    fn at(mut self, at: usize) -> Self {
        self.0.at.get_or_insert(at);
        self
    }

    /// Where, in bytes.
    pub(super) fn place(&self) -> usize {
        self.0.at.unwrap_or(0)
    }
}

impl Display for Unfit {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Details { reason, inside, .. } = &*self.0;
        f.write_str(reason)?;
        if inside.is_empty() {
            return Ok(());
        }
        write!(f, " in `{inside}`")
    }
}

impl std::error::Error for Unfit {}

impl serde::de::Error for Unfit {
    #[cold]
    fn custom<T: Display>(message: T) -> Self {
        Self(Box::new(Details {
            reason: message.to_string(),
            inside: String::new(),
            at: None,
        }))
    }

    // What was found instead stands in the text, at the place that is named.
    #[cold]
    fn invalid_type(_: Unexpected<'_>, expected: &dyn Expected) -> Self {
        Self::custom(format_args!("expected {expected}"))
    }

    #[cold]
    fn invalid_value(_: Unexpected<'_>, expected: &dyn Expected) -> Self {
        Self::custom(format_args!("expected {expected}"))
    }
}

impl<'a> Node<'a> {
    #[cold]
    fn unfit(self, expected: &dyn Expected) -> Unfit {
        <Unfit as serde::de::Error>::custom(format_args!("expected {expected}")).at(self.at())
    }

    fn number(self) -> Option<&'a str> {
        let written = self.written();
        (self.kind() == Kind::Number && written != "-0").then_some(written)
    }
}

macro_rules! whole_numbers {
    ($($method:ident $visit:ident $Number:ty;)*) => { $(
        fn $method<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
            // One spelling: a fraction is refused even where it comes to a whole number.
            match self.number().and_then(|written| written.parse::<$Number>().ok()) {
                Some(number) => visitor.$visit(number),
                None => Err(self.unfit(&visitor)),
            }
        }
    )* };
}

impl<'de> Deserializer<'de> for Node<'_> {
    type Error = Unfit;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        // No wire type leaves its form to the sender.
        Err(self.unfit(&visitor))
    }

    fn deserialize_ignored_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        visitor.visit_unit()
    }

    fn deserialize_bool<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        match self.kind() {
            Kind::True => visitor.visit_bool(true),
            Kind::False => visitor.visit_bool(false),
            _ => Err(self.unfit(&visitor)),
        }
    }

    whole_numbers! {
        deserialize_i64 visit_i64 i64;
        deserialize_u8 visit_u8 u8;
        deserialize_u16 visit_u16 u16;
        deserialize_u32 visit_u32 u32;
        deserialize_u64 visit_u64 u64;
    }

    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        match self.text() {
            Some(text) => visitor
                .visit_str(&text)
                .map_err(|unfit: Unfit| unfit.at(self.at())),
            None => Err(self.unfit(&visitor)),
        }
    }

    fn deserialize_string<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        self.deserialize_str(visitor)
    }

    fn deserialize_identifier<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        self.deserialize_str(visitor)
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        match self.kind() {
            Kind::Null => visitor.visit_none(),
            _ => visitor.visit_some(self),
        }
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        visitor: V,
    ) -> Result<V::Value, Unfit> {
        if name == VERBATIM {
            return visitor.visit_str(self.written());
        }
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        match self.kind() {
            Kind::List => {
                let mut rest = Rest(self.values());
                let read = visitor.visit_seq(&mut rest)?;
                match rest.0.next() {
                    None => Ok(read),
                    Some(more) => Err(more.unfit(&"no more values")),
                }
            }
            _ => Err(self.unfit(&visitor)),
        }
    }

    fn deserialize_tuple<V: Visitor<'de>>(self, _: usize, visitor: V) -> Result<V::Value, Unfit> {
        self.deserialize_seq(visitor)
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        match self.kind() {
            Kind::Object => visitor
                .visit_map(Fields {
                    rest: self.values(),
                    name: "",
                })
                .map_err(|unfit: Unfit| unfit.at(self.at())),
            _ => Err(self.unfit(&visitor)),
        }
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Unfit> {
        self.deserialize_map(visitor)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Unfit> {
        let mut values = self.values();
        let variant = match self.kind() {
            Kind::Text | Kind::Escaped => Variant {
                name: self,
                inner: None,
            },
            Kind::Object
                if let (Some(name), Some(inner), None) =
                    (values.next(), values.next(), values.next()) =>
            {
                Variant {
                    name,
                    inner: Some(inner),
                }
            }
            _ => return Err(self.unfit(&visitor)),
        };
        visitor
            .visit_enum(variant)
            .map_err(|unfit: Unfit| unfit.at(self.at()))
    }

    forward_to_deserialize_any! {
        i8 i16 i32 i128 u128 f32 f64 char bytes byte_buf unit unit_struct tuple_struct
    }
}

struct Rest<'a>(Values<'a>);

impl<'de> SeqAccess<'de> for Rest<'_> {
    type Error = Unfit;

    fn next_element_seed<T: DeserializeSeed<'de>>(
        &mut self,
        seed: T,
    ) -> Result<Option<T::Value>, Unfit> {
        match self.0.next() {
            None => Ok(None),
            Some(node) => seed.deserialize(node).map(Some),
        }
    }

    fn size_hint(&self) -> Option<usize> {
        Some(self.0.clone().count())
    }
}

struct Fields<'a> {
    /// Names and values by turns, from the next name on or, once that was read, from its value on.
    rest: Values<'a>,
    /// The name that was read last, as written.
    name: &'a str,
}

impl<'de> MapAccess<'de> for Fields<'_> {
    type Error = Unfit;

    fn next_key_seed<K: DeserializeSeed<'de>>(
        &mut self,
        seed: K,
    ) -> Result<Option<K::Value>, Unfit> {
        let Some(name) = self.rest.next() else {
            return Ok(None);
        };
        self.name = name.written();
        seed.deserialize(name).map(Some)
    }

    fn next_value_seed<V: DeserializeSeed<'de>>(&mut self, seed: V) -> Result<V::Value, Unfit> {
        let node = self.rest.next().ok_or_else(no_value)?;
        seed.deserialize(node)
            .map_err(|unfit| unfit.inside(self.name, node.at()))
    }
}

/// A visitor that asks for a value before its name is at fault.
#[cold]
fn no_value() -> Unfit {
    serde::de::Error::custom("expected a field")
}

struct Variant<'a> {
    name: Node<'a>,
    inner: Option<Node<'a>>,
}

impl<'de, 'a> EnumAccess<'de> for Variant<'a> {
    type Error = Unfit;
    type Variant = Inner<'a>;

    fn variant_seed<V: DeserializeSeed<'de>>(
        self,
        seed: V,
    ) -> Result<(V::Value, Inner<'a>), Unfit> {
        Ok((seed.deserialize(self.name)?, Inner(self.inner)))
    }
}

struct Inner<'a>(Option<Node<'a>>);

impl<'a> Inner<'a> {
    fn node(self) -> Result<Node<'a>, Unfit> {
        self.0.ok_or_else(no_value)
    }
}

impl<'de> VariantAccess<'de> for Inner<'_> {
    type Error = Unfit;

    fn unit_variant(self) -> Result<(), Unfit> {
        match self.0 {
            None => Ok(()),
            Some(_) => Err(no_value()),
        }
    }

    fn newtype_variant_seed<T: DeserializeSeed<'de>>(self, seed: T) -> Result<T::Value, Unfit> {
        seed.deserialize(self.node()?)
    }

    fn tuple_variant<V: Visitor<'de>>(self, _: usize, visitor: V) -> Result<V::Value, Unfit> {
        self.node()?.deserialize_seq(visitor)
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Unfit> {
        self.node()?.deserialize_map(visitor)
    }
}
