//! Reads wire types out of a tree of JSON, through serde.
//!
//! One reader for all types keeps the phone's program small: a reader that parses while it reads is
//! compiled anew, with all its parsing, for each of some eighty types. And it is stricter: an object
//! is never read from a list of its fields' values, as serde's readers otherwise allow.

use super::VERBATIM;
use super::tree::{Kind, Node, Values};
use super::unfit::Unfit;
use serde::de::Error as _;
use serde::de::{
    DeserializeSeed, Deserializer, EnumAccess, Expected, MapAccess, SeqAccess, VariantAccess,
    Visitor,
};
use serde::forward_to_deserialize_any;

impl<'a> Node<'a> {
    #[cold]
    fn unfit(self, expected: &dyn Expected) -> Unfit {
        if self.is_absent() {
            return Unfit::missing();
        }
        Unfit::because(format_args!("expected {expected}")).at(self.at())
    }

    fn is_absent(self) -> bool {
        self.kind() == Kind::Absent
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
        match self.kind() {
            Kind::Absent => Err(self.unfit(&visitor)),
            _ => visitor.visit_unit(),
        }
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
            Kind::Null | Kind::Absent => visitor.visit_none(),
            _ => visitor.visit_some(self),
        }
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        visitor: V,
    ) -> Result<V::Value, Unfit> {
        if name == VERBATIM && !self.is_absent() {
            return visitor.visit_str(self.written());
        }
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        match self.kind() {
            Kind::List => visitor.visit_seq(Rest(self.values())),
            _ => Err(self.unfit(&visitor)),
        }
    }

    fn deserialize_tuple<V: Visitor<'de>>(
        self,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, Unfit> {
        // A list reads on to its end; a tuple would not see what follows.
        match self.values().nth(length) {
            Some(more) => Err(more.unfit(&"no more values")),
            None => self.deserialize_seq(visitor),
        }
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        if !self.is_object() {
            return Err(self.unfit(&visitor));
        }
        let pairs = Pairs {
            rest: self.values(),
            name: "",
        };
        let read = visitor.visit_map(pairs);
        read.map_err(|unfit: Unfit| unfit.at(self.at()))
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        names: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Unfit> {
        if !self.is_object() {
            return Err(self.unfit(&visitor));
        }
        let mut fields = Fields::of(self, names);
        let read = visitor.visit_seq(&mut fields);
        fields.end(read)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        names: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Unfit> {
        match self.variant(names) {
            Some(variant) => visitor
                .visit_enum(variant)
                .map_err(|unfit: Unfit| unfit.at(self.at())),
            None => Err(self.unfit(&visitor)),
        }
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
}

/// Fields in the order of the type, wherever they stand in the document: a type is then made of its
/// fields one after the other, for which serde compiles three quarters of what it does for names in
/// any order.
struct Fields<'a> {
    object: Node<'a>,
    /// Names and values by turns, from the first on that was not read in its turn.
    rest: Values<'a>,
    names: &'static [&'static str],
    /// Names of the type that were asked for.
    asked: usize,
}

impl<'a> Fields<'a> {
    const fn of(object: Node<'a>, names: &'static [&'static str]) -> Self {
        Self {
            object,
            rest: object.values(),
            names,
            asked: 0,
        }
    }

    /// The next field of the type, with the name it has.
    fn next(&mut self) -> (&'static str, Node<'a>) {
        let name = self.names.get(self.asked).copied().unwrap_or_default();
        self.asked += 1;
        let mut rest = self.rest.clone();
        let node = match (rest.next(), rest.next()) {
            // As we write them ourselves.
            (Some(found), Some(node)) if found.says(name) => {
                self.rest = rest;
                Some(node)
            }
            _ => self.object.member(name),
        };
        (name, node.unwrap_or(Node::ABSENT))
    }

    /// What was read, if nothing in the object is left over.
    fn end<T>(&self, read: Result<T, Unfit>) -> Result<T, Unfit> {
        match read {
            // Every name was read in its turn.
            Ok(read) if self.rest.is_empty() => Ok(read),
            Ok(read) => self.left_over().map_or(Ok(read), Err),
            Err(unfit) => Err(self.told(unfit)),
        }
    }

    /// A name that the type does not have, or that stands twice.
    #[cold]
    fn left_over(&self) -> Option<Unfit> {
        let mut members = self.object.values();
        while let (Some(name), Some(value)) = (members.next(), members.next()) {
            let text = name.text().unwrap_or_default();
            let known = self.names.iter().find(|known| ***known == *text);
            let stands_before = || {
                let first = self.object.member(&text);
                first.is_some_and(|first| first.at() != value.at())
            };
            let unfit = match known {
                None if self.object.kind() == Kind::Object => {
                    Unfit::unknown_field(&text, self.names)
                }
                Some(known) if stands_before() => Unfit::duplicate_field(known),
                _ => continue,
            };
            return Some(unfit.at(name.at()));
        }
        None
    }

    /// A type that ends too early says so by the count of its fields. Where another name stands in
    /// the document, that is what to look at first: it may be the missing one, misspelt.
    #[cold]
    fn told(&self, unfit: Unfit) -> Unfit {
        let name = self
            .asked
            .checked_sub(1)
            .and_then(|last| self.names.get(last));
        match name {
            Some(name) if unfit.is_missing() => self
                .left_over()
                .unwrap_or_else(|| Unfit::missing_field(name)),
            _ => unfit,
        }
        .at(self.object.at())
    }
}

impl<'de> SeqAccess<'de> for Fields<'_> {
    type Error = Unfit;

    fn next_element_seed<T: DeserializeSeed<'de>>(
        &mut self,
        seed: T,
    ) -> Result<Option<T::Value>, Unfit> {
        let (name, node) = self.next();
        match seed.deserialize(node) {
            Ok(value) => Ok(Some(value)),
            Err(_) if node.is_absent() => Ok(None),
            Err(unfit) => Err(unfit.inside(name, node)),
        }
    }
}

struct Pairs<'a> {
    /// Names and values by turns, from the next name on or, once that was read, from its value on.
    rest: Values<'a>,
    /// The name that was read last, as written.
    name: &'a str,
}

impl<'de> MapAccess<'de> for Pairs<'_> {
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
            .map_err(|unfit| unfit.inside(self.name, node))
    }
}

/// A visitor that asks for a value before its name is at fault.
#[cold]
fn no_value() -> Unfit {
    Unfit::because("expected a field")
}

/// Which of a type's variants a value is, by its place among their names: to compare the names once
/// and for all types is much less of a program than each type's own comparisons.
struct Variant<'a> {
    name: Node<'a>,
    names: &'static [&'static str],
    place: Option<usize>,
    inner: Option<Node<'a>>,
}

impl<'a> Node<'a> {
    /// A name alone, or an object of one name and what is in the variant.
    #[inline(never)]
    fn variant(self, names: &'static [&'static str]) -> Option<Variant<'a>> {
        let mut values = self.values();
        let (name, inner) = match self.kind() {
            Kind::Text | Kind::Escaped => (self, None),
            Kind::Object | Kind::OpenObject => {
                match (values.next(), values.next(), values.next()) {
                    (Some(name), Some(inner), None) => (name, Some(inner)),
                    _ => return None,
                }
            }
            _ => return None,
        };
        let place = names.iter().position(|known| name.says(known));
        Some(Variant {
            name,
            names,
            place,
            inner,
        })
    }
}

impl Variant<'_> {
    #[cold]
    fn unknown(&self) -> Unfit {
        let name = self.name.text().unwrap_or_default();
        Unfit::unknown_variant(&name, self.names).at(self.name.at())
    }
}

impl<'de, 'a> EnumAccess<'de> for Variant<'a> {
    type Error = Unfit;
    type Variant = Inner<'a>;

    fn variant_seed<V: DeserializeSeed<'de>>(
        self,
        seed: V,
    ) -> Result<(V::Value, Inner<'a>), Unfit> {
        match seed.deserialize(Place(self.place)) {
            Ok(variant) => Ok((variant, Inner(self.inner))),
            // Only the type knows whether it has a variant for all others.
            Err(_) => Err(self.unknown()),
        }
    }
}

/// A variant's place; beyond all of them where the name is none of theirs.
struct Place(Option<usize>);

impl<'de> Deserializer<'de> for Place {
    type Error = Unfit;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unfit> {
        visitor.visit_u64(self.0.map_or(u64::MAX, |place| place as u64))
    }

    forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char str string bytes byte_buf option
        unit unit_struct newtype_struct seq tuple tuple_struct map struct enum identifier ignored_any
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

    fn tuple_variant<V: Visitor<'de>>(self, length: usize, visitor: V) -> Result<V::Value, Unfit> {
        self.node()?.deserialize_tuple(length, visitor)
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        names: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Unfit> {
        self.node()?.deserialize_struct("", names, visitor)
    }
}
