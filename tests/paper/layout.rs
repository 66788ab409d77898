//! Where words and shapes stand on a page that was laid out.

use typst::layout::{Frame, FrameItem, Page, Point, Transform};

/// A run of letters on a page, its box in points from the top left corner.
#[derive(Clone, Debug)]
pub struct Word {
    pub text: String,
    pub size_pt: f64,
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
}

impl Word {
    /// Whether all of it is on the page.
    pub fn inside(&self, width: f64, height: f64) -> bool {
        self.left >= 0.0 && self.top >= 0.0 && self.right <= width && self.bottom <= height
    }

    /// Whether both stand on one line.
    pub fn beside(&self, other: &Word) -> bool {
        (self.bottom - other.bottom).abs() < 1.0
    }

    /// Whether two words lie over each other by more than rounding.
    fn meets(&self, other: &Word) -> bool {
        const SLACK: f64 = 0.5;
        self.left + SLACK < other.right
            && other.left + SLACK < self.right
            && self.top + SLACK < other.bottom
            && other.top + SLACK < self.bottom
    }
}

/// Every word of a page.
pub fn words(page: &Page) -> Vec<Word> {
    let mut found = Vec::new();
    visit(&page.frame, Transform::identity(), &mut |item, at| {
        if let FrameItem::Text(text) = item {
            // from the baseline up to the tops of small letters, which is what the eye needs
            let (up, width) = (text.size.to_pt() * 0.55, text.width().to_pt());
            let (x, y) = (at.tx.to_pt(), at.ty.to_pt());
            let scale = at.sy.get();
            found.push(Word {
                text: text.text.to_string(),
                size_pt: text.size.to_pt() * scale,
                left: x,
                top: y - up * scale,
                right: x + width * at.sx.get(),
                bottom: y,
            });
        }
    });
    found.retain(|word| !word.text.trim().is_empty());
    found
}

/// How many shapes begin outside the page.
pub fn shapes_outside(page: &Page) -> usize {
    let (width, height) = (page.frame.width().to_pt(), page.frame.height().to_pt());
    let mut outside = 0;
    visit(&page.frame, Transform::identity(), &mut |item, at| {
        if matches!(item, FrameItem::Shape(..)) {
            let (x, y) = (at.tx.to_pt(), at.ty.to_pt());
            let in_it = (-0.1..=width + 0.1).contains(&x) && (-0.1..=height + 0.1).contains(&y);
            outside += usize::from(!in_it);
        }
    });
    outside
}

/// How many pictures are on a page, all of each inside.
pub fn pictures_inside(page: &Page) -> usize {
    let (width, height) = (page.frame.width().to_pt(), page.frame.height().to_pt());
    let mut found = 0;
    visit(&page.frame, Transform::identity(), &mut |item, at| {
        if let FrameItem::Image(_, size, _) = item {
            let (left, top) = (at.tx.to_pt(), at.ty.to_pt());
            let (right, bottom) = (left + size.x.to_pt(), top + size.y.to_pt());
            let inside = left > -0.1 && top > -0.1 && right < width + 0.1 && bottom < height + 0.1;
            assert!(
                inside,
                "{left} {top} {right} {bottom} leaves {width} {height}"
            );
            found += 1;
        }
    });
    found
}

/// Pairs of words that lie over each other.
pub fn overlaps(words: &[Word]) -> Vec<(&str, &str)> {
    let mut found = Vec::new();
    for (index, word) in words.iter().enumerate() {
        let others = words[index + 1..].iter().filter(|other| word.meets(other));
        found.extend(others.map(|other| (word.text.as_str(), other.text.as_str())));
    }
    found
}

fn visit(frame: &Frame, at: Transform, seen: &mut impl FnMut(&FrameItem, Transform)) {
    for (Point { x, y }, item) in frame.items() {
        let here = at.pre_concat(Transform::translate(*x, *y));
        match item {
            FrameItem::Group(group) => {
                visit(&group.frame, here.pre_concat(group.transform), seen);
            }
            other => seen(other, here),
        }
    }
}
