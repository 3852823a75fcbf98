//! A picture that somebody chose, shown for as long as a screen needs it and kept nowhere.

use std::sync::Arc;
use web_sys::{File, HtmlImageElement, Url};

/// A picture behind an address of its own; it is let go with the last handle to it.
#[derive(Debug, Clone)]
pub struct Picture {
    address: Arc<Address>,
    image: HtmlImageElement,
    /// Width and height, in the picture's own points.
    pub size: (u32, u32),
}

#[derive(Debug)]
struct Address(String);

impl Drop for Address {
    fn drop(&mut self) {
        let _ = Url::revoke_object_url(&self.0);
    }
}

impl Picture {
    /// Shows a file as a picture. `None` where it is none that this browser can show.
    pub async fn of(file: &File) -> Option<Self> {
        let address = Address(Url::create_object_url_with_blob(file).ok()?);
        let image = HtmlImageElement::new().ok()?;
        image.set_src(&address.0);
        wasm_bindgen_futures::JsFuture::from(image.decode())
            .await
            .ok()?;
        let size = (image.natural_width(), image.natural_height());
        (size.0 > 0 && size.1 > 0).then(|| Self {
            address: Arc::new(address),
            image,
            size,
        })
    }

    /// It as the browser shows it.
    pub fn image(&self) -> &HtmlImageElement {
        &self.image
    }

    /// Its address, good while the picture is held.
    pub fn address(&self) -> String {
        self.address.0.clone()
    }
}
