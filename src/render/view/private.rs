//! The private page of a job: everything its customer may know, and nothing else.

use super::calendar;
use super::drawings;
use super::frame::{Frame, PageLink, care_page};
use super::ledger::{LedgerView, StorageView};
use super::measures::{self, MeasuresView};
use super::news;
use super::progress::{self, Need, Now, StepView};
use super::showroom::{RoomView, room_view, side_by_side};
use super::when::{self, ReasonView, WindowView};
use crate::model::{Body, Job, LineBy, Owner, PageLife, Photo, Pose, Route, SiteFile, Spoilt, WorkedJob};
use crate::problem::{Location, Problems};
use crate::render::dates::DayWords;
use crate::render::desk::{Desk, JobAtHand};
use crate::render::drawing::months::MonthsDrawing;
use crate::render::drawing::route::RouteDrawing;
use crate::render::photos::{self, PictureView};
use crate::render::{Made, markdown, paths};
use serde::Serialize;

/// A job as its customer sees it.
#[derive(Debug, Serialize)]
struct PrivatePage {
    frame: Frame,
    number: String,
    /// First name and initial; none where what the owner wrote is no name.
    name: Option<String>,
    piece: String,
    route: String,
    rush: bool,
    taken_in: DayWords,
    today: DayWords,
    /// The last day of the page, once the piece was collected.
    until: Option<DayWords>,
    stage: &'static str,
    note: Option<String>,
    needs: Vec<Need>,
    later: Vec<Need>,
    ready: Option<DayWords>,
    collected: Option<DayWords>,
    in_line_since: Option<DayWords>,
    /// What a place in line counts from: `deposit` or `arrival`.
    line: &'static str,
    window: Option<WindowView>,
    reason: Option<ReasonView>,
    /// Why there is no window.
    missing: Option<&'static str>,
    /// The shop's own words for "no promise".
    estimate_says: Option<String>,
    now: Vec<Now>,
    steps: Vec<StepView>,
    /// The route as a drawing.
    drawing: RouteDrawing,
    /// The window on a line of months.
    months: Option<MonthsDrawing>,
    photos: Vec<PhotoDay>,
    measures: Option<MeasuresView>,
    chosen: Option<ChosenView>,
    /// Whether this kind of work has poses to choose from, or waits for one.
    may_choose: bool,
    /// The last day to choose the pose, or to change it.
    choose_by: Option<DayWords>,
    /// Poses of this kind of animal, as long as one can be chosen.
    poses: Vec<PoseChoice>,
    /// These poses side by side, if there are several.
    beside: Option<String>,
    /// Whether that day is today.
    choose_now: bool,
    /// Whether what the pose decides has begun.
    pose_begun: bool,
    /// The showroom page of this kind of animal.
    showroom: Option<String>,
    ledger: LedgerView,
    pay: Option<String>,
    policy: Option<String>,
    grace_ends: Option<DayWords>,
    /// Whether that day is past.
    grace_over: bool,
    storage: Option<StorageView>,
    care: Option<PageLink>,
    /// The files for calendars and feed readers beside the page.
    calendar: Option<&'static str>,
    feed: Option<&'static str>,
    /// Whether the page opens with its key alone.
    sealed: bool,
}

/// The photos of a day.
#[derive(Debug, Serialize)]
struct PhotoDay {
    day: DayWords,
    photos: Vec<PhotoView>,
}

/// A photo with its words.
#[derive(Debug, Serialize)]
struct PhotoView {
    picture: PictureView,
    caption: Option<String>,
    /// The step that it shows, as words with a capital.
    step: Option<String>,
}

/// What the customer chose.
#[derive(Debug, Serialize)]
struct ChosenView {
    pose: String,
    on: DayWords,
    href: Option<String>,
    room: Option<RoomView>,
}

/// A pose that could be chosen.
#[derive(Debug, Serialize)]
struct PoseChoice {
    name: String,
    href: String,
    /// Whether it is the one that was chosen.
    chosen: bool,
}

/// The page of a job and its photos.
pub fn make(desk: &Desk<'_>, worked: &WorkedJob) -> Made {
    let Some(shown) = desk.job(worked) else { return Ok((Vec::new(), Problems::default())) };
    let job = shown.job;
    let owner = Owner::Part(Spoilt::Job(job.number.clone()));
    let path = paths::private(&worked.address);
    let mut notes = Problems::default();
    let calendar = calendar::make(desk, job, worked);
    let view = view(desk, &shown, &path, calendar.is_some(), &mut notes);
    let template = if view.until.is_some() { "closing.html" } else { "private.html" };
    let mut files = vec![desk.page(&path, template, &view, owner.clone())?];
    let folder = paths::folder_of(&path);
    let mut beside = |name: &str, bytes: Vec<u8>| {
        files.push((format!("{folder}{name}"), SiteFile::new(Body::Bytes(bytes), owner.clone())));
    };
    // No feed reader can open what is sealed.
    if worked.seal.is_none() {
        beside(news::FILE, news::make(desk, &shown));
    }
    if let Some(bytes) = calendar {
        beside(calendar::FILE, bytes);
    }
    let pictures = photos::shown_of(job, desk.worked.today);
    files.extend(pictures.flat_map(|photo| photos::files(desk.album, photo, folder, &owner)));
    Ok((files, notes))
}

fn view(
    desk: &Desk<'_>,
    shown: &JobAtHand<'_>,
    path: &str,
    calendar: bool,
    notes: &mut Problems,
) -> PrivatePage {
    let JobAtHand { job, route, worked } = *shown;
    let day = |day| desk.theme.dates.day(day);
    let root = paths::root_of(path);
    let (needs, later) = progress::needs(desk, job, worked);
    let names_pose = route.steps.iter().any(|step| step.needs.iter().any(|gate| gate == "pose"));
    let pose = worked.gates.iter().find(|gate| gate.name == "pose");
    let [note, pay, policy] = own_texts(desk, job, &root, notes);
    PrivatePage {
        note,
        pay,
        policy,
        frame: Frame::of(desk, path, job.piece.clone()),
        number: job.number.clone(),
        name: Some(job.shown_name.trim()).filter(|name| !name.is_empty()).map(str::to_owned),
        piece: job.piece.clone(),
        route: route.name.clone(),
        rush: job.rush,
        taken_in: day(job.taken_in),
        today: day(desk.worked.today),
        until: match worked.page {
            PageLife::Closing { until } => Some(day(until)),
            PageLife::Open | PageLife::Gone => None,
        },
        stage: progress::stage_word(worked),
        needs,
        later,
        ready: worked.ready.map(day),
        collected: worked.collected.map(day),
        in_line_since: worked.in_line_since.map(day),
        line: match desk.shop.studio.line {
            LineBy::Deposit => "deposit",
            LineBy::Arrival => "arrival",
        },
        window: worked.window().map(|window| WindowView::of(desk, window)),
        reason: ReasonView::of(desk, worked),
        missing: when::missing(worked),
        estimate_says: desk.shop.studio.estimates.says.clone(),
        now: progress::now(desk, route, worked),
        steps: progress::steps(desk, route, worked),
        drawing: drawings::route(desk, route, worked),
        months: worked
            .window()
            .filter(|_| worked.ready.is_none())
            .map(|window| drawings::months(desk, window)),
        photos: photo_days(desk, job),
        measures: measures::of(desk, job.measures.as_ref(), &worked.scores),
        chosen: chosen(desk, job, &root),
        may_choose: route.animal.is_some() || names_pose,
        choose_by: pose.and_then(|gate| worked.last_day_for(&gate.name)).map(day),
        choose_now: pose
            .and_then(|gate| worked.last_day_for(&gate.name))
            .is_some_and(|by| by <= desk.worked.today),
        pose_begun: names_pose && pose.is_none(),
        poses: poses(desk, job, route, worked, &root),
        beside: route.animal.as_deref().and_then(|a| side_by_side(desk, a)).map(|p| format!("{root}{p}")),
        showroom: showroom_of(desk, route, &root),
        ledger: LedgerView::of(desk, worked),
        grace_ends: worked.grace_ends.map(day),
        grace_over: worked.grace_ends.is_some_and(|ends| ends < desk.worked.today),
        storage: StorageView::of(desk),
        care: care_page(desk, &root),
        calendar: calendar.then_some(calendar::FILE),
        feed: worked.seal.is_none().then_some(news::FILE),
        sealed: worked.seal.is_some(),
    }
}

/// The note on the job, how to pay, and the policy, as HTML.
fn own_texts(desk: &Desk<'_>, job: &Job, root: &str, notes: &mut Problems) -> [Option<String>; 3] {
    let money = &desk.shop.studio.money;
    let shop_file = Location::file("content/shop.toml");
    let texts = [(&job.note, &job.file()), (&money.pay, &shop_file), (&money.policy, &shop_file)];
    texts.map(|(text, file)| {
        let around = desk.around(root, 3);
        text.as_deref().map(|text| markdown::of_part(text, file, &around, notes))
    })
}

/// The photos by day, the newest day first; within a day in the order in which they are shown.
fn photo_days(desk: &Desk<'_>, job: &Job) -> Vec<PhotoDay> {
    let mut shown: Vec<&Photo> = photos::shown_of(job, desk.worked.today).collect();
    shown.sort_by_key(|photo| std::cmp::Reverse(photo.taken.day));
    let mut days: Vec<PhotoDay> = Vec::new();
    for photo in shown {
        let Some(picture) = PictureView::of(desk.album, photo, "") else { continue };
        let day = desk.theme.dates.day(photo.taken.day);
        let step = photo.step.as_deref().map(paths::as_words);
        let view = PhotoView { picture, caption: photo.caption.clone(), step };
        match days.last_mut().filter(|last| last.day == day) {
            Some(last) => last.photos.push(view),
            None => days.push(PhotoDay { day, photos: vec![view] }),
        }
    }
    days
}

fn chosen(desk: &Desk<'_>, job: &Job, root: &str) -> Option<ChosenView> {
    // What is settled later than today is not known yet.
    let choice = job.pose.as_ref().filter(|choice| choice.on <= desk.worked.today)?;
    let is_it = |pose: &&Pose| choice.pose.as_ref().is_some_and(|(a, k)| (a, k) == (&pose.animal, &pose.key));
    let pose = desk.shop.poses.iter().find(is_it);
    Some(ChosenView {
        pose: pose.map_or_else(|| choice.words.clone(), |pose| pose.name.clone()),
        on: desk.theme.dates.day(choice.on),
        href: pose.map(|pose| format!("{root}{}", paths::pose(&pose.animal, &pose.key))),
        room: pose.and_then(|pose| room_view(desk, pose)),
    })
}

/// The poses to choose from, as long as the shop would still have time for a change.
fn poses(desk: &Desk<'_>, job: &Job, route: &Route, worked: &WorkedJob, root: &str) -> Vec<PoseChoice> {
    let asks = route.steps.iter().any(|step| step.needs.iter().any(|gate| gate == "pose"));
    let behind = !worked.gates.iter().any(|gate| gate.name == "pose");
    if worked.ready.is_some() || worked.collected.is_some() || asks && behind {
        return Vec::new();
    }
    let of_animal = |pose: &&Pose| route.animal.as_ref() == Some(&pose.animal);
    let chosen = job.pose.as_ref().filter(|c| c.on <= desk.worked.today).and_then(|c| c.pose.as_ref());
    let choice = |pose: &Pose| PoseChoice {
        name: pose.name.clone(),
        href: format!("{root}{}", paths::pose(&pose.animal, &pose.key)),
        chosen: chosen.is_some_and(|(animal, key)| (animal, key) == (&pose.animal, &pose.key)),
    };
    desk.shop.poses.iter().filter(of_animal).map(choice).collect()
}

/// Where poses for this kind of work can be seen, if there are any.
fn showroom_of(desk: &Desk<'_>, route: &Route, root: &str) -> Option<String> {
    desk.poses_of(route.animal.as_deref()?).map(|path| format!("{root}{path}"))
}
