//! `news.atom` beside a private page: the news of the piece for feed readers (RFC 4287). It tells what the page tells:
//! days of steps, the pose, photos that are shown; nothing of what is private.

use crate::base::day::Day;
use crate::base::digest::Digest;
use crate::model::StepState;
use crate::render::desk::{Desk, JobAtHand};
use crate::render::markup::in_xml;
use crate::render::paths::as_words;
use crate::render::photos;
use std::collections::BTreeMap;

/// The file's name in the private folder.
pub const FILE: &str = "news.atom";

/// One piece of news.
struct NewsItem {
    day: Day,
    /// What it is about, the same for ever: news keep their names when a date is put right.
    key: String,
    title: String,
    says: String,
}

/// The feed.
pub fn make(desk: &Desk<'_>, shown: &JobAtHand<'_>) -> Vec<u8> {
    let mut items = items(desk, shown);
    items.sort_by(|a, b| (b.day, &a.key).cmp(&(a.day, &b.key)));
    let updated = items.first().map_or(shown.job.taken_in, |item| item.day);
    let id = |key: &str| uuid(&format!("{} {key}", shown.worked.address));
    let mut out = String::from("<?xml version=\"1.0\" encoding=\"utf-8\"?>\n<!-- made by Benchlight -->\n");
    let language = in_xml(&desk.shop.studio.language);
    out.push_str(&format!("<feed xmlns=\"http://www.w3.org/2005/Atom\" xml:lang=\"{language}\">\n"));
    let title = say(desk, "news.title", &[("piece", &shown.job.piece), ("number", &shown.job.number)]);
    out.push_str(&format!("<title>{}</title>\n", in_xml(&title)));
    out.push_str(&format!("<id>{}</id>\n<updated>{}</updated>\n", id("feed"), moment(updated)));
    out.push_str(&format!("<author><name>{}</name></author>\n", in_xml(&desk.shop.studio.name)));
    out.push_str("<generator>Benchlight</generator>\n");
    out.push_str(&format!("<link rel=\"self\" type=\"application/atom+xml\" href=\"{FILE}\"/>\n"));
    out.push_str("<link rel=\"alternate\" type=\"text/html\" href=\"index.html\"/>\n");
    for item in &items {
        out.push_str(&format!(
            "<entry>\n<title>{}</title>\n<id>{}</id>\n<updated>{}</updated>\n\
             <link rel=\"alternate\" type=\"text/html\" href=\"index.html\"/>\n\
             <content type=\"text\">{}</content>\n</entry>\n",
            in_xml(&item.title),
            id(&item.key),
            moment(item.day),
            in_xml(&item.says)
        ));
    }
    out.push_str("</feed>\n");
    out.into_bytes()
}

fn items(desk: &Desk<'_>, shown: &JobAtHand<'_>) -> Vec<NewsItem> {
    let (job, worked) = (shown.job, shown.worked);
    let mut items = Vec::new();
    let mut tell = |key: String, word: &str, day: Day, gaps: &[(&str, &str)]| {
        let long = desk.theme.dates.day(day).long;
        let gaps: Vec<(&str, &str)> = gaps.iter().copied().chain([("day", long.as_str())]).collect();
        let title = say(desk, &format!("news.{word}"), &gaps);
        let says = say(desk, &format!("news.{word}-says"), &gaps);
        items.push(NewsItem { day, key, title, says });
    };
    tell("taken-in".into(), "taken-in", job.taken_in, &[]);
    if let Some(choice) = job.pose.as_ref().filter(|choice| choice.on <= desk.worked.today) {
        tell("pose".into(), "pose", choice.on, &[]);
    }
    for (step, own) in shown.route.steps.iter().zip(&worked.steps) {
        let name = as_words(&step.name);
        let partner = step.work.partner().and_then(|partner| desk.shop.partners.get(partner));
        let partner = partner.map(|partner| partner.name.as_str());
        match own.state {
            // What a later step only implies has no day of its own.
            StepState::Reached { day, exact: true, .. } => {
                tell(format!("step {}", step.name), "step", day, &[("step", &name)]);
            }
            StepState::Sent { since } => {
                let partner = partner.unwrap_or(&name);
                tell(format!("sent {}", step.name), "sent", since, &[("step", &name), ("partner", partner)]);
            }
            _ => {}
        }
    }
    let mut days: BTreeMap<Day, usize> = BTreeMap::new();
    for photo in photos::shown_of(job, desk.worked.today) {
        *days.entry(photo.taken.day).or_default() += 1;
    }
    for day in days.into_keys() {
        tell(format!("photos {day}"), "photos", day, &[]);
    }
    if let Some(day) = worked.ready {
        tell("ready".into(), "ready", day, &[]);
    }
    if let Some(day) = worked.collected {
        tell("collected".into(), "collected", day, &[]);
    }
    items
}

fn say(desk: &Desk<'_>, key: &str, gaps: &[(&str, &str)]) -> String {
    let value =
        |name: &str| gaps.iter().find(|(known, _)| *known == name).map(|(_, text)| (*text).to_owned());
    desk.theme.words.say(key, None, &value).unwrap_or_default()
}

/// A day as a moment of RFC 3339: noon of Greenwich, which is the same day almost everywhere.
fn moment(day: Day) -> String {
    format!("{}T12:00:00Z", day.iso())
}

/// A UUID of version 8 (RFC 9562, section 5.8) that stays the same: its bits are those of a digest.
fn uuid(name: &str) -> String {
    let bits = Digest::of(format!("news {name}").as_bytes()).half();
    uuid::Builder::from_custom_bytes(bits).into_uuid().urn().to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_have_the_shape_of_a_uuid() {
        for name in ["a", "b", "c", "d", "e"] {
            let made = uuid(name);
            let parts: Vec<&str> = made.trim_start_matches("urn:uuid:").split('-').collect();
            assert_eq!(parts.iter().map(|p| p.len()).collect::<Vec<_>>(), [8, 4, 4, 4, 12], "{made}");
            assert!(parts[2].starts_with('8') && parts[3].starts_with(['8', '9', 'a', 'b']), "{made}");
        }
        // As earlier programs made it: feed readers know a piece of news by it.
        assert_eq!(uuid("a"), "urn:uuid:5bdcafcf-eb05-8c90-988a-bf7a8da84f2d");
        assert_eq!(uuid("a"), uuid("a"));
        assert_ne!(uuid("a"), uuid("b"));
    }
}
