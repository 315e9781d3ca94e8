//! The showroom's order, and what is left of it where a pose needs mending.

use super::check::{addresses, made, pages, target, text};
use super::example;
use benchlight::door::model::Spoilt;
use scraper::{Html, Selector};

fn texts(html: &str, selector: &str) -> Vec<String> {
    let page = Html::parse_document(html);
    let wanted = Selector::parse(selector).unwrap();
    page.select(&wanted).map(|element| element.text().collect::<String>().trim().to_owned()).collect()
}

#[test]
fn animals_poses_and_routes_stand_in_the_order_of_the_shops_poses() {
    let mut example = example::plain();
    let (site, _) = made(&example);
    assert_eq!(texts(&text(&site, "showroom/index.html"), "h2 a"), ["Deer", "Turkey"]);
    example.shop.poses.reverse();
    let (site, _) = made(&example);
    let list = text(&site, "showroom/index.html");
    assert_eq!(texts(&list, "h2 a"), ["Turkey", "Deer"]);
    assert_eq!(texts(&list, ".row a"), ["Turkey", "Deer"]);
    assert_eq!(texts(&list, "h3"), ["Standing", "Half strut", "Full strut", "Semi-sneak"]);
    let front = text(&site, "index.html");
    assert_eq!(texts(&front, ".kinds h3"), ["Turkey", "Deer"]);
    // Behind what has poses to show, by key: `skull`, `turkey-fan`.
    let routes = ["Turkey, full body", "Deer, shoulder mount", "European skull", "Turkey fan"];
    assert_eq!(texts(&front, ".makes b"), routes);
    // The picture of an animal is the first photo of its first pose.
    let page = Html::parse_document(&front);
    let first = page.select(&Selector::parse(".kinds img").unwrap()).next().unwrap();
    assert!(first.value().attr("src").unwrap().starts_with("showroom/turkey/standing/"));
}

#[test]
fn poses_of_two_animals_told_in_turn_stay_with_their_animal() {
    let mut example = example::plain();
    // Full strut, semi-sneak, half strut, standing.
    example.shop.poses.swap(0, 1);
    let (site, _) = made(&example);
    let list = text(&site, "showroom/index.html");
    assert_eq!(texts(&list, "h2 a"), ["Turkey", "Deer"]);
    assert_eq!(texts(&list, "h3"), ["Full strut", "Half strut", "Standing", "Semi-sneak"]);
}

#[test]
fn the_list_of_an_animal_stays_when_its_only_pose_needs_mending() {
    let mut example = example::plain();
    let (before, _) = made(&example);
    example.shop.poses.retain(|pose| pose.animal != "deer");
    example.shop.spoilt = vec![Spoilt::Pose("deer".into(), "semi-sneak".into())];
    let (site, notes) = made(&example);
    assert!(notes.is_empty(), "{notes:?}");
    // All that the kept page leads to is still there.
    let kept = "showroom/deer/semi-sneak/index.html";
    assert!(!site.files.contains_key(kept));
    let own = |path: &str| path.starts_with("showroom/deer/semi-sneak/") || path.ends_with(".css");
    for (_, _, address) in addresses(&text(&before, kept)) {
        let outside = address.contains(':') || address.starts_with('#');
        let found = if outside { continue } else { target(kept, &address) };
        assert!(own(&found) || site.files.contains_key(&found), "{address}");
    }
    let list = text(&site, "showroom/deer/index.html");
    assert!(texts(&list, "main").concat().contains("There’s nothing to show here right now."), "{list}");
    // Nobody is led to an empty list, or to a page that may never have been there.
    assert_eq!(texts(&text(&site, "showroom/index.html"), "h2 a"), ["Turkey"]);
    let to_deer = pages(&site).into_iter().filter(|(path, html)| {
        let leads = |address: &str| {
            !address.contains(':')
                && !address.starts_with('#')
                && target(path, address).starts_with("showroom/deer/")
        };
        path != "showroom/deer/index.html" && addresses(html).iter().any(|(_, _, address)| leads(address))
    });
    assert_eq!(to_deer.map(|(path, _)| path).collect::<Vec<_>>(), [""; 0]);
}

#[test]
fn a_showroom_whose_poses_all_need_mending_is_still_in_the_menu() {
    let mut example = example::plain();
    example.shop.spoilt =
        example.shop.poses.drain(..).map(|pose| Spoilt::Pose(pose.animal, pose.key)).collect();
    let (site, _) = made(&example);
    for path in ["showroom/index.html", "showroom/deer/index.html", "showroom/turkey/index.html"] {
        assert!(texts(&text(&site, path), "main").concat().contains("nothing to show"), "{path}");
    }
    assert!(texts(&text(&site, "index.html"), "header nav a").contains(&"Showroom".to_owned()));
    assert_eq!(texts(&text(&site, "index.html"), ".makes a"), [""; 0], "no poses to see");
}
