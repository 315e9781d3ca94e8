//! Patterns with named gaps: `{month} {day}, {year}`.

/// The pattern with each `{name}` replaced by what `value` gives for it; `{{` stands for a brace.
/// An error is the name that has no value.
pub fn fill(pattern: &str, value: &dyn Fn(&str) -> Option<String>) -> Result<String, String> {
    let mut out = String::with_capacity(pattern.len() + 16);
    let mut rest = pattern;
    while let Some((before, after)) = rest.split_once('{') {
        out.push_str(before);
        if let Some(literal) = after.strip_prefix('{') {
            out.push('{');
            rest = literal;
            continue;
        }
        let (name, behind) = after.split_once('}').ok_or_else(|| after.to_owned())?;
        out.push_str(&value(name).ok_or_else(|| name.to_owned())?);
        rest = behind;
    }
    out.push_str(rest);
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gaps_are_filled_once_and_missing_ones_named() {
        let value = |name: &str| (name == "a").then(|| "{b}".to_owned());
        assert_eq!(fill("x {a} y", &value), Ok("x {b} y".to_owned()));
        assert_eq!(fill("{{a}", &value), Ok("{a}".to_owned()));
        assert_eq!(fill("{c}", &value), Err("c".to_owned()));
        assert_eq!(fill("{c", &value), Err("c".to_owned()));
    }
}
