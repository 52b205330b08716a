//! The bookmarks of the file: chapters, with their sections folded below them.

use lopdf::{Document, Object, ObjectId, dictionary, text_string};

use super::file::one_line;
use super::flow::Bookmark;
use super::{Level, PAGE_HEIGHT};

/// An entry of the outline with the entries below it.
struct Entry<'a> {
    mark: &'a Bookmark,
    page: ObjectId,
    below: Vec<Entry<'a>>,
}

/// Adds the outline; answers with a reference to it, or `None` where there is no bookmark.
pub(super) fn outline(file: &mut Document, bookmarks: &[Bookmark]) -> Option<Object> {
    let pages: Vec<ObjectId> = file.get_pages().into_values().collect();
    let mut top: Vec<Entry<'_>> = Vec::new();
    for mark in bookmarks {
        let Some(page) = pages.get(mark.page) else { continue };
        let entry = Entry { mark, page: *page, below: Vec::new() };
        match top.last_mut() {
            Some(chapter) if mark.heading.level == Level::Section => chapter.below.push(entry),
            _ => top.push(entry),
        }
    }
    if top.is_empty() {
        return None;
    }
    let root = file.new_object_id();
    let mut list = dictionary! { "Type" => "Outlines" };
    if let Some([first, last]) = level(file, root, &top) {
        list.set("First", first);
        list.set("Last", last);
    }
    list.set("Count", count(top.len()));
    file.objects.insert(root, Object::Dictionary(list));
    Some(Object::Reference(root))
}

fn count(entries: usize) -> i64 {
    i64::try_from(entries).unwrap_or(i64::MAX)
}

/// Adds entries that stand below `parent`; answers with the first and the last one.
fn level(file: &mut Document, parent: ObjectId, entries: &[Entry<'_>]) -> Option<[ObjectId; 2]> {
    let ids: Vec<ObjectId> = entries.iter().map(|_| file.new_object_id()).collect();
    for (index, (entry, id)) in entries.iter().zip(&ids).enumerate() {
        let mut item = dictionary! {
            "Title" => text_string(&one_line(&entry.mark.heading.words())),
            "Parent" => parent,
            "Dest" => vec![
                Object::Reference(entry.page),
                Object::Name(b"XYZ".to_vec()),
                Object::Null,
                Object::from(top_of(entry.mark.y)),
                Object::Null,
            ],
        };
        if let Some(previous) = index.checked_sub(1).and_then(|at| ids.get(at)) {
            item.set("Prev", *previous);
        }
        if let Some(next) = ids.get(index + 1) {
            item.set("Next", *next);
        }
        if let Some([first, last]) = level(file, *id, &entry.below) {
            item.set("First", first);
            item.set("Last", last);
            // Less than nothing: the entries below are folded (ISO 32000-1, table 153).
            item.set("Count", -count(entry.below.len()));
        }
        file.objects.insert(*id, Object::Dictionary(item));
    }
    Some([*ids.first()?, *ids.last()?])
}

/// A little above the heading, from the page's lower edge.
#[expect(clippy::cast_possible_truncation, reason = "PDF coordinates have single precision")]
pub(super) fn top_of(y: f64) -> f32 {
    (PAGE_HEIGHT - y + 12.0).round() as f32
}
