//! The frame of the file: head, style and the line at its foot.

use super::Material;
use super::markup::{Html, element, plain};

const STYLE: &str = include_str!("style.css");

/// The whole file.
pub(super) fn page(material: &Material, parts: impl Iterator<Item = Html>) -> String {
    let main = element("main", &[], &parts.collect::<Vec<_>>());
    let body = element("body", &[], &[main, foot(material)]).into_string();
    let title = plain("title", &format!("Switch timing, client {}", material.header.client)).into_string();
    format!(
        "<!DOCTYPE html>\n<html lang=\"en-GB\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n\
         {title}\n<style>\n{STYLE}</style>\n</head>\n{body}\n</html>\n"
    )
}

fn foot(material: &Material) -> Html {
    let header = material.header;
    let source = format!(
        "Client {}, began {}, protocol {}, pacewright {}, seed {}.",
        header.client, header.began, header.protocol.name, header.program, header.seed
    );
    element("footer", &[], &[plain("p", &source)])
}
