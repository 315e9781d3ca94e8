//! Texts that must be caught and texts that must not.

use super::*;

fn public() -> Public {
    Public::of(
        [
            "Hollow Ash Taxidermy",
            "555-0100",
            "bench@hollow-ash.example",
            "14 Sawpit Lane",
            "Nettle Ford, Larrow County",
        ]
        .into_iter(),
    )
}

fn values() -> Telltale {
    let mut job = Telltale::default();
    for (what, value) in [
        (What::LastName, "Ada Fenn"),
        (What::Phone, "(417) 555-0117"),
        (What::Email, "ada@fennfield.example"),
        (What::Address, "7 Mill Lane, Quillback"),
        (What::Tag, "T26-003377"),
        (What::Permit, "12"),
        (What::License, "TH-121740"),
        (What::Place, "Quillback County, Long Ridge unit"),
        (What::Hunter, "Bo Müller"),
        (What::Collector, "Cy Tarn"),
        (
            What::BenchNote,
            "Use the 11B form. Left wing primaries 3 and 4 broken.\ncall her sister before noon",
        ),
    ] {
        job.add(what, value, &public());
    }
    job
}

#[test]
fn a_jobs_own_values_are_caught_however_they_are_spelled() {
    for (text, what) in [
        ("call 555-0117 for it", What::Phone),
        ("call 5550117", What::Phone),
        ("417.555.0117", What::Phone),
        ("+1 417 555 0117", What::Phone),
        ("tel (417)555 0117 now", What::Phone),
        ("2 555-0117 front", What::Phone),
        ("call 555\u{2011}0117", What::Phone),
        ("call \u{ff15}\u{ff15}\u{ff15}-\u{ff10}\u{ff11}\u{ff11}\u{ff17}", What::Phone),
        ("call 555\u{200b}-01\u{200b}17", What::Phone),
        ("**555**-0117", What::Phone),
        ("write to Ada@Fennfield.example", What::Email),
        ("ada @ fennfield.example", What::Email),
        ("[here](mailto:ada@fennfield.example)", What::Email),
        ("the house at 7 mill lane", What::Address),
        ("tag T26-003377", What::Tag),
        ("t26003377 left", What::Tag),
        ("T26 003377", What::Tag),
        ("T26_003377", What::Tag),
        ("permit 12", What::Permit),
        ("Permit no. 12 is in", What::Permit),
        ("TH 121740", What::License),
        ("from Quillback County", What::Place),
        ("quillback-county gobbler", What::Place),
        ("up on long ridge unit", What::Place),
        ("Bo Müller's bird", What::Hunter),
        ("Mu\u{308}ller shot it", What::Hunter),
        ("Cy Tarn took it", What::Collector),
        ("The Fenn bird is done", What::LastName),
        ("Fenn\u{2019}s bird", What::LastName),
        ("ada fenn", What::LastName),
        ("left wing primaries 3 and 4 broken", What::BenchNote),
        ("We will call her sister before noon.", What::BenchNote),
    ] {
        assert_eq!(values().in_text(&Text::of(text)), Some(what), "{text}");
    }
}

#[test]
fn what_is_said_by_chance_is_not_caught() {
    for text in [
        "",
        "12 inches of beard",
        "spurs 1 3/16, 1 2/16",
        "We will preen over it, and from the right side nobody will ever know.",
        "Plaque, tamarack",
        "from Larrow County",
        "call us at 555-0100",
        "write to bench@hollow-ash.example",
        "a quillback carpsucker",
        "a mill by the lane",
        "the ridge is long",
        "Ada wants the left side out",
        "the 11B form",
        "a tarn, a fen",
        "26 003 377",
        "T26",
        "the county line",
    ] {
        assert_eq!(values().in_text(&Text::of(text)), None, "{text}");
    }
}

#[test]
fn a_last_name_that_is_a_word_counts_as_a_name_only() {
    let mut job = Telltale::default();
    job.add(What::LastName, "Boyd Brown", &public());
    for text in ["Brown trout, 25 inches", "the brown one", "Browns and greens"] {
        assert_eq!(job.in_text(&Text::of(text)), None, "{text}");
    }
    for text in ["for Boyd Brown", "Mr. Brown's trout", "Mrs Brown"] {
        assert_eq!(job.in_text(&Text::of(text)), Some(What::LastName), "{text}");
    }
}

#[test]
fn usual_shapes_are_caught_and_the_shops_own_are_fine() {
    for (text, what) in [
        ("call 417-555-0199", What::APhone),
        ("call (417) 555-0199", What::APhone),
        ("417 555 0199", What::APhone),
        ("1-417-555-0199", What::APhone),
        ("4175550199", What::APhone),
        ("555-0199", What::APhone),
        ("555.0199", What::APhone),
        ("2026-04-28 555-0199", What::APhone),
        ("+49 171 5550199", What::APhone),
        ("+491715550199", What::APhone),
        ("0171 5550199", What::APhone),
        ("030/5550199", What::APhone),
        ("[call](tel:+14175550199)", What::APhone),
        ("cy@tarn.example", What::AnEmail),
        ("<cy.tarn+birds@mail.tarn.example>,", What::AnEmail),
    ] {
        assert_eq!(shape_in(&Text::of(text), &public()), Some(what), "{text}");
    }
    for text in [
        "555-0100",
        "(417) 555-0100",
        "bench@hollow-ash.example",
        "orla@hollow-ash.example",
        "$695.50 and 12 x 4.25",
        "695 2026",
        "1,250.00 of 2,500.00",
        "800-1200",
        "$800-1200",
        "a form of 350-1000 lbs",
        "2026-04-28",
        "04-28-2026",
        "04.05.2026",
        "05/06 2026",
        "20260428_171502",
        "2026-04-28 17.15.02",
        "36 x 28 x 24 in",
        "T26-003377",
        "WF-25-3902",
        "D25-014605",
        "job 26-041",
        "10 5/16, 1 3/16",
        "22 pounds 6 ounces",
        "see you @ noon. ok",
        "1 2 3 4 5 6 7 8 9 10",
        "it took 120 300 hours",
    ] {
        assert_eq!(shape_in(&Text::of(text), &public()), None, "{text}");
    }
}

#[test]
fn nothing_makes_it_stumble() {
    for text in
        ["@", "@@a.b", "+", "0", "é@é.éé", "(((", "1-", "-1", "\u{300}\u{300}", "'s", "''", "٣٣٣", "𝟓𝟓𝟓"]
    {
        let text = Text::of(text);
        let _ = (values().in_text(&text), shape_in(&text, &public()));
        let mut job = Telltale::default();
        for what in
            [What::Phone, What::Email, What::Tag, What::Place, What::LastName, What::BenchNote, What::Address]
        {
            job.add(what, &text.flat, &public());
        }
    }
    // Long texts cost in step with their length.
    let long = "555 0117 a@b.example Fenn ".repeat(4_000);
    let _ = (values().in_text(&Text::of(&long)), shape_in(&Text::of(&long), &public()));
    let digits = Text::of(&"1 ".repeat(50_000));
    let _ = shape_in(&digits, &public());
}
