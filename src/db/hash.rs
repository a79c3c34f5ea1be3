//! SHA-256, as it is printed beside copies and archives.

use super::Error;
use sha2::{Digest, Sha256};
use std::io::Read;
use std::path::Path;

fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::with_capacity(64), |s, b| format!("{s}{b:02x}"))
}

/// The SHA-256 of some bytes, in hexadecimal.
pub fn sha256(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// The SHA-256 of a file that nobody has open as a notebook, in hexadecimal.
pub fn sha256_of_file(path: &Path) -> Result<String, Error> {
    let io = |e: std::io::Error| Error::File(format!("{}: {e}", path.display()));
    let mut file = std::fs::File::open(path).map_err(io)?;
    let mut hash = Sha256::new();
    let mut part = vec![0; 1 << 16];
    loop {
        let n = file.read(&mut part).map_err(io)?;
        if n == 0 {
            return Ok(hex(&hash.finalize()));
        }
        hash.update(part.get(..n).unwrap_or_default());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_published_example_comes_out() {
        // FIPS 180-4, example of one block
        assert_eq!(
            sha256(b"abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
