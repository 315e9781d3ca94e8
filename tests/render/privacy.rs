//! What is private stays private: no canary anywhere, no job on a public page.

use super::check::{is_private, made, pages};
use super::example;
use benchlight::door::model::Body;

#[test]
fn no_private_field_is_found_anywhere() {
    let example = example::plain();
    let source = example.shop.jobs[0].source.reveal();
    assert!(source.text.contains("CANARY") && source.file.contains("CANARY"), "the example holds canaries");
    let (site, notes) = made(&example);
    for (path, piece) in &site.files {
        assert!(!path.contains("CANARY"), "{path}");
        if let Body::Bytes(bytes) = &piece.body {
            assert!(!String::from_utf8_lossy(bytes).contains("CANARY"), "{path}");
        }
    }
    assert!(!format!("{notes:?}").contains("CANARY"));
}

#[test]
fn what_is_private_of_a_shop_is_not_in_its_debug_output() {
    let example = example::plain();
    let shown = format!("{:?} {:#?}", example.shop, example.worked);
    // The facts alone hold as many as there are kinds of them.
    let facts = format!("{:?}", example.shop.jobs[0].private.reveal());
    assert!(facts.matches("CANARY").count() > 8, "{facts}");
    assert!(!shown.contains("CANARY"), "{shown}");
    assert!(shown.contains(&example.shop.jobs[0].number), "it tells of jobs");
}

#[test]
fn public_pages_name_no_job_and_no_private_address() {
    let example = example::plain();
    let (site, _) = made(&example);
    let public = site.files.iter().filter(|(path, _)| !is_private(path)).filter_map(|(path, piece)| {
        match &piece.body {
            Body::Bytes(bytes) => Some((path, String::from_utf8(bytes.clone()).unwrap())),
            Body::Cached { .. } => None,
        }
    });
    let public: Vec<_> = public.collect();
    assert!(public.len() > 15);
    for (path, text) in public {
        assert!(!text.contains("see/"), "{path}");
        for (job, worked) in example.shop.jobs.iter().zip(&example.worked.jobs) {
            for secret in [&job.number, &worked.address, &job.shown_name, &job.piece] {
                // One job's piece is called like a kind of work, which is public.
                let public_word = example.shop.routes.values().any(|route| route.name == *secret);
                assert!(public_word || !text.contains(secret.as_str()), "{path}: {secret}");
            }
        }
    }
}

#[test]
fn a_private_page_names_its_own_job_alone() {
    let example = example::plain();
    let (site, _) = made(&example);
    let of_jobs: Vec<_> = pages(&site).into_iter().filter(|(path, _)| is_private(path)).collect();
    assert_eq!(of_jobs.len(), 6);
    for (path, html) in of_jobs {
        let named = example.shop.jobs.iter().filter(|job| html.contains(job.number.as_str())).count();
        assert_eq!(named, 1, "{path}");
    }
}
