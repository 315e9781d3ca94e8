//! Hostile strings in every text of the owner's: nothing appears on a page that the template did
//! not write, as an HTML5 parser sees it.

use super::check::{addresses, made, pages};
use super::example::{self, written_by};
use scraper::{Html, Selector};
use std::collections::{BTreeMap, BTreeSet};

/// From the OWASP Cheat Sheet Series, "XSS Filter Evasion" (vectors for text, attributes, addresses,
/// comments, encodings), with a few of the same kinds for Markdown and for broken characters.
const HOSTILE: [&str; 36] = [
    "javascript:/*--></title></style></textarea></script></xmp><svg/onload='+/\"`/+/onmouseover=1/+/[*/[]/+alert(42);//'>",
    "<IMG SRC=\"javascript:alert('XSS');\">",
    "<IMG SRC=JaVaScRiPt:alert('XSS')>",
    "\\<a onmouseover=\"alert(document.cookie)\"\\>xxs link\\</a\\>",
    "<IMG \"\"\"><SCRIPT>alert(\"XSS\")</SCRIPT>\"\\>",
    "<IMG SRC=# onmouseover=\"alert('xxs')\">",
    "<IMG SRC=/ onerror=\"alert(String.fromCharCode(88,83,83))\"></img>",
    "&#106;&#97;&#118;&#97;&#115;&#99;&#114;&#105;&#112;&#116;&#58;alert(1)",
    "&lt;script&gt;alert(1)&lt;/script&gt;",
    "&#60;script&#62;alert(1)&#60;/script&#62;",
    "<IMG SRC=\"jav&#x09;ascript:alert('XSS');\">",
    "<SCRIPT/XSS SRC=\"http://xss.example/xss.js\"></SCRIPT>",
    "<BODY onload!#$%&()*~+-_.,:;?@[/|\\]^`=alert(\"XSS\")>",
    "<<SCRIPT>alert(\"XSS\");//\\<</SCRIPT>",
    "<SCRIPT SRC=//xss.example/.j>",
    "<IMG SRC=\"`<javascript:alert>`('XSS')\"",
    "</script><script>alert('XSS');</script>",
    "</TITLE><SCRIPT>alert(\"XSS\");</SCRIPT>",
    "<INPUT TYPE=\"IMAGE\" SRC=\"javascript:alert('XSS');\">",
    "<svg/onload=alert('XSS')>",
    "<LINK REL=\"stylesheet\" HREF=\"javascript:alert('XSS');\">",
    "<STYLE>@import'http://xss.example/xss.css';</STYLE>",
    "<META HTTP-EQUIV=\"refresh\" CONTENT=\"0;url=javascript:alert('XSS');\">",
    "<IFRAME SRC=\"javascript:alert('XSS');\"></IFRAME>",
    "<DIV STYLE=\"background-image: url(javascript:alert('XSS'))\">",
    "<!--[if gte IE 4]><SCRIPT>alert('XSS');</SCRIPT><![endif]-->",
    "<BASE HREF=\"javascript:alert('XSS');//\">",
    "<OBJECT TYPE=\"text/x-scriptlet\" DATA=\"http://xss.example/scriptlet.html\"></OBJECT>",
    "\" onfocus=alert(1) autofocus x=\"",
    "' onmouseover='alert(1)' x='",
    "` onmouseover=alert(1) x=`",
    "[a](javascript:alert(1)) [b](<data:text/html,x>) ![c](javascript:alert(2)) <javascript:alert(3)> [d](//xss.example)",
    "[a]: javascript:alert(1)\n\n[x][a] ![y](https://xss.example/y.png \"z\" onerror=1)",
    "--> ]]> <?php x ?> {{ 7*7 }} {% raw %} <% x %> {# x #}",
    "a\u{0}b\u{1b}[31m\u{202e}c\u{fffe}\u{feff}d\u{85}",
    "</a></p></section></main></body></html><p class=evil id=page>",
];

/// What stands on a page: each element with its attributes, without their values.
type Shape = BTreeMap<String, BTreeSet<(String, Vec<String>)>>;

fn shape(pages: &[(String, String)]) -> Shape {
    let all = Selector::parse("*").unwrap();
    let each = pages.iter().map(|(path, html)| {
        let page = Html::parse_document(html);
        let elements = page.select(&all).map(|element| {
            let mut attributes: Vec<String> =
                element.value().attrs().map(|(name, _)| name.to_owned()).collect();
            attributes.sort();
            (element.value().name().to_owned(), attributes)
        });
        (path.clone(), elements.collect())
    });
    each.collect()
}

/// Elements that the owner's Markdown may make.
const MARKDOWN: [&str; 18] = [
    "p",
    "em",
    "strong",
    "del",
    "code",
    "pre",
    "ul",
    "ol",
    "li",
    "blockquote",
    "br",
    "hr",
    "h2",
    "h3",
    "h4",
    "h5",
    "h6",
    "a",
];

#[test]
fn hostile_texts_add_no_element_no_attribute_and_no_address() {
    let (plain, _) = made(&example::plain());
    let known = shape(&pages(&plain));
    for hostile in HOSTILE {
        let (site, _) = made(&written_by(&|_| hostile.to_owned()));
        let pages = pages(&site);
        assert_eq!(pages.len(), known.len());
        for (path, elements) in shape(&pages) {
            for (element, attributes) in elements {
                let template = known[&path].contains(&(element.clone(), attributes.clone()));
                let markdown =
                    MARKDOWN.contains(&element.as_str()) && (attributes.is_empty() || attributes == ["href"]);
                assert!(template || markdown, "{path}: <{element} {attributes:?}> from {hostile}");
            }
        }
        for (path, html) in &pages {
            for (element, attribute, address) in addresses(html) {
                let own = !address.contains(':')
                    || ["tel:", "sms:", "mailto:", "data:image/svg+xml,", "https://tamarack-lamp.example/"]
                        .iter()
                        .any(|known| address.starts_with(known));
                assert!(
                    own && !address.contains("xss") && !address.contains("alert"),
                    "{path}: <{element} {attribute}={address}>"
                );
            }
            let parsed = Html::parse_document(html);
            assert!(!parsed.tree.values().any(|node| node.is_comment()), "{path}: a comment from {hostile}");
            assert!(
                !html.chars().any(|c| c.is_control() && c != '\n' && c != '\t'),
                "{path}: a control character from {hostile:?}"
            );
        }
    }
}

#[test]
fn words_that_the_owner_wrote_are_shown_as_they_were_written() {
    for hostile in [
        "a < b & c > d \"e\" 'f'",
        "&lt;b&gt;",
        "1 &amp;amp; 2 &copy; &notit;",
        "x<y",
        "&#0; &#x80; <!-- x -->",
        "a</b>c",
    ] {
        let (site, _) =
            made(&written_by(&|text| if text == "Sales tax" { hostile.to_owned() } else { text.to_owned() }));
        let html = super::check::text(&site, &format!("see/{}/index.html", "a".repeat(26)));
        let page = Html::parse_document(&html);
        let said: String =
            page.select(&Selector::parse("main").unwrap()).flat_map(|main| main.text()).collect();
        assert!(said.contains(hostile), "{hostile}");
    }
}

#[test]
fn a_text_of_any_depth_is_no_danger() {
    let deep = format!("{} x\n\n{}", ">".repeat(20_000), "[".repeat(20_000));
    let (site, _) =
        made(&written_by(&|text| if text.starts_with("Keep it") { deep.clone() } else { text.to_owned() }));
    assert!(site.files.contains_key("care/index.html"));
}
