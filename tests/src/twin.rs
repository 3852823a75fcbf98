//! The other signature that fits the same text: `n - s` for `s`.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;

/// Order of the base point of P-256 (FIPS 186-4, D.1.2.3).
const ORDER: [u8; 32] = [
    0xff, 0xff, 0xff, 0xff, 0x00, 0x00, 0x00, 0x00, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff,
    0xbc, 0xe6, 0xfa, 0xad, 0xa7, 0x17, 0x9e, 0x84, 0xf3, 0xb9, 0xca, 0xc2, 0xfc, 0x63, 0x25, 0x51,
];

/// A compact JWS with the same text and the other signature.
///
/// # Panics
/// When it is no compact JWS with a signature of 64 bytes.
pub fn twin(compact: &str) -> String {
    let (text, signature) = compact.rsplit_once('.').unwrap();
    let mut bytes = URL_SAFE_NO_PAD.decode(signature).unwrap();
    let mut borrow = false;
    for (byte, order) in bytes[32..].iter_mut().zip(ORDER).rev() {
        let (less, first) = order.overflowing_sub(*byte);
        let (less, second) = less.overflowing_sub(borrow.into());
        (*byte, borrow) = (less, first || second);
    }
    format!("{text}.{}", URL_SAFE_NO_PAD.encode(bytes))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: tests/reference/crypto_and_format_vectors.md, section 1.
    #[test]
    fn the_published_pair_are_twins() {
        let high = "x.DtEhU3ljbEg8L38VWAfUAqOyKAM6-Xx-F4GawxaepmXFCgfTjDxw5djxLa8ISlSApmWQxfKTUJqPP3-Kg6NU1Q";
        let low = "x.DtEhU3ljbEg8L38VWAfUAqOyKAM6-Xx-F4GawxaepmU69fgrc8OPGycO0lD3tat_FoFp57SETepkeks4eL_QfA";
        assert_eq!(twin(high), low);
        assert_eq!(twin(low), high);
    }
}
