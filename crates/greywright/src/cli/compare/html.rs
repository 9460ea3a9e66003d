//! The report: one HTML file that holds its pictures, with no script and nothing from elsewhere.

use std::path::Path;

use session::verdict::lines::{Line, WORDS, lines};
use session::verdict::{Comparison, Measured};

use super::{data, pictures, table};
use crate::cli::failure::Failure;

/// Neutral and dark: 1 % of white around pictures, figures of one width.
const STYLE: &str = "\
html{background:#191919;color:#d8d8d8;font:15px/1.5 system-ui,sans-serif;font-variant-numeric:tabular-nums}\
body{margin:0;padding:2rem 2.25rem 4rem;max-width:1500px}\
h1{font-size:1.4rem;font-weight:600;margin:0 0 .75rem}h2{font-size:1.1rem;font-weight:600;margin:2.75rem 0 .75rem}\
p{margin:.2rem 0;max-width:75rem}.note{color:#b0b0b0}\
.wide{overflow-x:auto}table{border-collapse:collapse;font-size:14px}\
th,td{padding:.25rem .55rem;text-align:right;white-space:nowrap;border-bottom:1px solid #343434}\
th:first-child,td:first-child{text-align:left;padding-left:0;position:sticky;left:0;background:#191919}thead th{font-weight:600;border-bottom-color:#595959}\
tbody th{font-weight:400}.unit{color:#b0b0b0;padding-left:.5rem}td.same{color:#b0b0b0}\
article{margin:0 0 2.75rem}article h3{font-size:1rem;font-weight:600;margin:0 0 .15rem}\
.row{display:flex;flex-wrap:wrap;gap:1.25rem;margin-top:.75rem}figure{margin:0}figcaption{color:#b0b0b0;font-size:.9rem}\
img{display:block;max-width:100%;height:auto}dl{max-width:75rem}dt{margin-top:.6rem}dd{margin:0;color:#b0b0b0}";

/// Writes the report.
///
/// # Errors
/// A file that cannot be written.
pub fn write(out: &Path, comparison: &Comparison) -> Result<(), Failure> {
    let mut html = format!(
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">\n<meta name=\"viewport\" \
         content=\"width=device-width\">\n<title>{title}</title>\n<style>{STYLE}</style></head>\n<body>\n<h1>{title}</h1>\n",
        title = text(&format!("Candidates on {}", comparison.what))
    );
    for words in table::head(comparison) {
        html += &format!("<p>{}</p>\n", text(&words));
    }
    html += "<h2>Verdict</h2>\n<p class=\"note\">A figure that differs by less than 0.5 Delta E or two 10-bit codes from \
             what it is held against reads same. There is no total.</p>\n";
    html += &verdict(comparison);
    html += &alike(comparison);
    html += "<h2>Pictures</h2>\n<p class=\"note\">Light as the display shows it, in sRGB, at measuring size.</p>\n";
    let most = pictures::most_apart(comparison.rows());
    for row in comparison.rows() {
        html += &article(row, comparison, most)?;
    }
    html += "<h2>What the figures are</h2>\n<dl>\n";
    for (name, words) in WORDS {
        html += &format!("<dt>{}</dt><dd>{}</dd>\n", text(name), text(words));
    }
    html += "</dl>\n</body></html>\n";
    Ok(media::store(out, &media::Encoded::of(html.into_bytes()))?)
}

fn verdict(comparison: &Comparison) -> String {
    let mut html = "<div class=\"wide\"><table>\n<thead><tr><th scope=\"col\">figure</th>".to_string();
    for row in comparison.rows() {
        html += &format!("<th scope=\"col\">{}</th>", text(&row.name));
    }
    html += "</tr></thead>\n<tbody>\n";
    for Line { title, unit, cells } in lines(comparison) {
        html += &format!("<tr><th scope=\"row\">{}<span class=\"unit\">{}</span></th>", text(&title), text(&unit));
        for cell in cells {
            // What is the same is so whatever its figure; the figure is there for who looks for it.
            html += &match cell.same {
                true => format!("<td class=\"same\" title=\"{}\">same</td>", text(&cell.text)),
                false => format!("<td>{}</td>", text(&cell.text)),
            };
        }
        html += "</tr>\n";
    }
    html + "</tbody></table></div>\n"
}

/// Candidates whose pictures cannot be told apart.
fn alike(comparison: &Comparison) -> String {
    let pairs = data::between(comparison);
    if pairs.is_empty() {
        return String::new();
    }
    let mut html = "<h2>Candidates beside each other</h2>\n<div class=\"wide\"><table><thead><tr><th scope=\"col\">pictures</th>\
                    <th scope=\"col\">Delta E, 95th percentile</th><th scope=\"col\">largest</th></tr></thead>\n<tbody>\n"
        .to_string();
    for (a, b, of) in pairs {
        let same = measure::verdict::same::delta_e(of.p95);
        let p95 = if same { "<td class=\"same\">same</td>".to_string() } else { format!("<td>{:.1}</td>", of.p95) };
        html += &format!("<tr><th scope=\"row\">{} and {}</th>{p95}<td>{:.1}</td></tr>\n", text(a), text(b), of.max);
    }
    html + "</tbody></table></div>\n"
}

fn article(row: &Measured, comparison: &Comparison, most: f64) -> Result<String, Failure> {
    let mut html = format!(
        "<article>\n<h3>{}</h3>\n<p class=\"note\">{}</p>\n<p class=\"note\">rendering: {}</p>\n<div class=\"row\">\n",
        text(&row.name),
        text(&row.order),
        text(&row.rendering)
    );
    html += &figure(&pictures::picture(row)?, &format!("{}, picture", row.name), "picture");
    let yardstick = comparison.yardstick();
    if let Some(yardstick) = yardstick.filter(|yardstick| !std::ptr::eq(*yardstick, row))
        && let Some(png) = pictures::map(&row.small, &yardstick.small)?
    {
        let caption = format!("difference to {}; black is the same", yardstick.name);
        html += &figure(&png, &format!("{}, {caption}", row.name), &caption);
    }
    html += "</div>\n<div class=\"row\">\n";
    if let Some(png) = pictures::greys(row, comparison.evidence.occupied, most)? {
        let caption = "dotted uprights: the ends of the tones that the shot has";
        html += &figure(&png, &format!("{}, red, green and blue of grey over stops", row.name), caption);
    }
    if let Some(yardstick) = yardstick
        && let Some(png) = pictures::hues(row, yardstick)?
    {
        let caption = "uprights: the surfaces";
        html +=
            &figure(&png, &format!("{}, hues by chroma", row.name), if row.surfaces.is_empty() { "" } else { caption });
    }
    Ok(html + "</div>\n</article>\n")
}

fn figure(png: &[u8], alt: &str, caption: &str) -> String {
    format!(
        "<figure><img alt=\"{}\" src=\"data:image/png;base64,{}\"><figcaption>{}</figcaption></figure>\n",
        text(alt),
        base64(png),
        text(caption)
    )
}

/// Text as HTML holds it, within quotation marks too.
fn text(words: &str) -> String {
    words.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// Bytes as text.
///
/// # Source
/// RFC 4648, section 4.
fn base64(bytes: &[u8]) -> String {
    const SIGNS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let byte = |at: usize| u32::from(three.get(at).copied().unwrap_or(0));
        let bits = byte(0) << 16 | byte(1) << 8 | byte(2);
        for at in 0..4 {
            let sign = SIGNS.get((bits >> (18 - 6 * at) & 63) as usize).copied().unwrap_or(b'=');
            out.push(if at <= three.len() { char::from(sign) } else { '=' });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: RFC 4648, section 10, test vectors.
    #[test]
    fn bytes_are_written_as_the_standard_says() {
        let cases =
            [("", ""), ("f", "Zg=="), ("fo", "Zm8="), ("foo", "Zm9v"), ("foob", "Zm9vYg=="), ("foobar", "Zm9vYmFy")];
        for (bytes, want) in cases {
            assert_eq!(base64(bytes.as_bytes()), want);
        }
    }

    #[test]
    fn names_cannot_become_markup() {
        assert_eq!(text("a<b> & \"c\""), "a&lt;b&gt; &amp; &quot;c&quot;");
    }
}
