//! TEMP
pub fn p(name: &str, default: f64) -> f64 {
    static MAP: std::sync::OnceLock<std::collections::BTreeMap<String, f64>> = std::sync::OnceLock::new();
    let map = MAP.get_or_init(|| std::env::var("TUNE").unwrap_or_default().split(',').filter_map(|kv| { let (k, v) = kv.split_once('=')?; Some((k.to_owned(), v.parse().ok()?)) }).collect());
    map.get(name).copied().unwrap_or(default)
}
