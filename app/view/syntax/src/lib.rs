//! The macro `view!`, in the syntax of Leptos, for the views of `combgate-view`.
//!
//! What is written down of an element, its tag and those attributes that are plain text, becomes
//! one text; only what is worked out becomes code. Parts of a screen are plain functions.

use proc_macro2::TokenStream;
use quote::{ToTokens, quote, quote_spanned};
use rstml::node::{KeyedAttribute, Node, NodeAttribute, NodeBlock, NodeElement};
use syn::spanned::Spanned;

/// Elements that a browser makes in the namespace of SVG.
const OF_PICTURES: [&str; 7] = ["svg", "path", "rect", "circle", "text", "image", "g"];

/// Elements, texts in quotation marks and blocks, into one `Node`.
#[proc_macro]
pub fn view(tokens: proc_macro::TokenStream) -> proc_macro::TokenStream {
    let config = rstml::ParserConfig::new().recover_block(true);
    let (nodes, faults) = rstml::Parser::new(config)
        .parse_recoverable(tokens)
        .split_vec();
    let mut errors = Vec::new();
    for fault in faults {
        errors.push(fault.emit_as_expr_tokens());
    }
    let nodes: Vec<TokenStream> = nodes.iter().filter_map(node).collect();
    let view = match nodes.as_slice() {
        [one] => one.clone(),
        all => quote! { ::combgate_view::Node::Many(::std::vec![#(#all),*]) },
    };
    quote! { { #(#errors;)* #view } }.into()
}

/// What a part of a view becomes; nothing for a comment.
fn node(node: &Node) -> Option<TokenStream> {
    Some(match node {
        Node::Element(each) => {
            let made = element(each);
            quote! { ::combgate_view::Node::from(#made) }
        }
        Node::Block(NodeBlock::ValidBlock(block)) => {
            let given = bare(block);
            quote! { ::combgate_view::IntoNode::into_node(#given) }
        }
        Node::Block(NodeBlock::Invalid(block)) => {
            quote! { ::combgate_view::IntoNode::into_node(#block) }
        }
        Node::Text(text) => {
            let text = &text.value;
            quote! { ::combgate_view::Node::text(#text) }
        }
        Node::Fragment(fragment) => {
            let all = fragment.children.iter().filter_map(self::node);
            quote! { ::combgate_view::Node::Many(::std::vec![#(#all),*]) }
        }
        Node::RawText(text) => {
            let text = text.to_string_best();
            quote! { ::combgate_view::Node::text(#text) }
        }
        Node::Comment(_) | Node::Doctype(_) | Node::Custom(_) => return None,
    })
}

/// The call that puts a part into the element around it: each kind has its own, shorter than one that
/// first makes a node of it.
fn within(node: &Node) -> Option<TokenStream> {
    Some(match node {
        Node::Element(each) => {
            let made = element(each);
            quote! { .element(#made) }
        }
        Node::Block(NodeBlock::ValidBlock(block)) => {
            let given = bare(block);
            quote! { .part(#given) }
        }
        Node::Text(text) => {
            let text = &text.value;
            quote! { .text(#text) }
        }
        Node::Fragment(fragment) => fragment.children.iter().filter_map(within).collect(),
        other => {
            let made = self::node(other)?;
            quote! { .child(#made) }
        }
    })
}

/// An element, with what is in it.
fn element(element: &NodeElement<rstml::Infallible>) -> TokenStream {
    let name = element.name().to_string();
    if name.starts_with(char::is_uppercase) || name.contains(':') {
        let message = "a part of a screen is a function: write {part(...)}";
        return quote_spanned! { element.name().span() => ::std::compile_error!(#message) };
    }
    let mut written = name.clone();
    let mut worked_out = Vec::new();
    for attribute in element.attributes() {
        match attribute {
            NodeAttribute::Attribute(attribute) => match plain(attribute) {
                // An attribute's name and value cannot hold the sign that parts them.
                Some((name, value)) => {
                    written.push('\0');
                    written.push_str(&name);
                    written.push('\0');
                    written.push_str(&value);
                }
                None => worked_out.push(call(attribute)),
            },
            NodeAttribute::Block(block) => {
                let message = "an attribute needs a name";
                worked_out
                    .push(quote_spanned! { block.span() => ; ::std::compile_error!(#message) });
            }
        }
    }
    let made = if OF_PICTURES.contains(&name.as_str()) {
        quote! { ::combgate_view::Element::of_picture(#written) }
    } else {
        quote! { ::combgate_view::Element::new(#written) }
    };
    let children = element.children.iter().filter_map(within);
    quote! { #made #(#worked_out)* #(#children)* }
}

/// Name and value of an attribute that is plain text.
fn plain(attribute: &KeyedAttribute) -> Option<(String, String)> {
    let name = attribute.key.to_string();
    match attribute.value() {
        None => Some((name, String::new())),
        Some(syn::Expr::Lit(literal)) if !name.contains(':') => match &literal.lit {
            syn::Lit::Str(text) => Some((name, text.value())),
            _ => None,
        },
        Some(_) => None,
    }
}

/// A block of one expression without its braces, which would be warned about.
fn bare(block: &syn::Block) -> TokenStream {
    match block.stmts.as_slice() {
        [syn::Stmt::Expr(given, None)] => given.to_token_stream(),
        _ => block.to_token_stream(),
    }
}

/// What an attribute does to its element.
fn call(attribute: &KeyedAttribute) -> TokenStream {
    let name = attribute.key.to_string();
    let value = attribute.value().map(|value| match value {
        syn::Expr::Block(block) if block.attrs.is_empty() => bare(&block.block),
        syn::Expr::Paren(inside) => inside.expr.to_token_stream(),
        value => value.to_token_stream(),
    });
    match name.split_once(':') {
        Some(("on", event)) => {
            let kind = quote::format_ident!("{event}", span = attribute.key.span());
            quote! {
                .on(#event, ::combgate_view::listener::<::combgate_view::event::#kind>(#value))
            }
        }
        Some(("prop", name)) => {
            quote! { .set(::combgate_view::Kind::Property, #name, #value) }
        }
        Some(("class", name)) => {
            quote! { .set(::combgate_view::Kind::Class, #name, #value) }
        }
        Some(_) => {
            let message = "there are only on:, prop: and class:";
            quote_spanned! { attribute.key.span() => ; ::std::compile_error!(#message) }
        }
        None => quote! { .set(::combgate_view::Kind::Attribute, #name, #value) },
    }
}
