//! Limits on the page: the verdict, what was compared, how close it is, the clause.
//!
//! In: limits of a record. Out: markup.
//! Never: tells a verdict by colour alone.

use maud::{Markup, html};

use super::{code, math, units};
use crate::cite::Cite;
use crate::notebook::record::{LimitRecord, Strength, Verdict};
use crate::notebook::report::LimitTold;
use crate::view::text;

/// How far the bar reaches, beyond what is allowed, in its own measure.
const LONGEST: f64 = 1.2;

/// Returns a verdict's word.
pub(super) fn tag(verdict: Verdict) -> Markup {
    html! { span class={ "tag " (verdict.word()) } { (verdict.word().to_uppercase()) } }
}

/// Returns how close a limit is: a bar with the share that is used or needed, or what is left.
pub(super) fn closeness(limit: &LimitRecord) -> Markup {
    let Some(uses) = limit.uses else {
        let words = text::closeness_words(limit);
        return html! { @if !words.is_empty() { span.use { (units::in_words(&words)) } } };
    };
    let used = (uses.clamp(0.0, LONGEST) * 100.0).round();
    html! {
        span.use {
            svg.bar viewBox="0 0 120 12" preserveAspectRatio="none" aria-hidden="true" focusable="false" {
                rect.used x="0" y="2" width=(used) height="8" {}
                rect.all x="0.5" y="2" width="99.5" height="8" {}
                line.end x1="100" y1="0" x2="100" y2="12" {}
            }
            span.share { (limit.measure().0) " " (text::share(uses)) "\u{a0}% " (limit.measure().1) }
        }
    }
}

/// Returns a document with its clause, and whether anyone has read it there.
pub(super) fn source(cite: Option<Cite>) -> Markup {
    html! { @if let Some(cite) = cite { (cite.words(" \u{b7} ")) } }
}

/// Returns one limit with all that it says.
pub(super) fn block(sheet: &str, limit: &LimitRecord, told: &LimitTold) -> Markup {
    let full = limit.full_name(sheet);
    html! {
        div.calc.limit id=(full) {
            h4 { (tag(limit.verdict)) " " (limit.label) " " (code(&limit.own_name())) }
            div.eq tabindex="0" role="group" aria-label={ "What " (limit.own_name()) " asks" } { span.soft { @if limit.strength == Strength::Must { "must be:" } @else { "should be:" } }
                (math::formula(&told.condition)) }
            @if !limit.shown.is_empty() { p { (units::in_words(&limit.shown)) } }
            (rows(limit))
            @if let Some(reason) = limit.reason.as_ref().filter(|_| !rows_tell(limit)) { p { (units::in_words(reason)) } }
            @if let Some(witness) = &limit.witness { p { (units::in_words(witness)) } }
            @if let Some(closer) = &limit.closer { p { (units::in_words(closer)) } }
            @if let Some(remedy) = limit.to_do() {
                p { strong { "What to do: " } (units::in_words(&remedy)) }
            }
            @for doubt in &limit.doubts { p { "Doubtful: " (units::in_words(doubt)) } }
            p.from {
                (closeness(limit)) " "
                (source(limit.cite()))
                @if let Some(when) = &told.when { " \u{b7} judged when " (math::formula(when)) }
                @if let Some(note) = &told.note { " \u{b7} " (note) }
            }
        }
    }
}

/// Returns whether the rows say why by themselves.
fn rows_tell(limit: &LimitRecord) -> bool {
    limit.rows.len() > 1 && limit.rows.iter().any(|row| row.shown.is_empty())
}

/// The rows that do not pass, where the limit itself does not say all.
fn rows(limit: &LimitRecord) -> Markup {
    let alone = matches!(limit.rows.as_slice(), [row] if row.shown == limit.shown);
    html! {
        @if alone { @for row in &limit.rows { p { "at " (row.name) } } }
        @else if !limit.rows.is_empty() {
            ul {
                @for row in &limit.rows {
                    li {
                        strong { (row.name) } ": " (row.verdict.word()) ", "
                        @if row.shown.is_empty() { (units::in_words(row.reason.as_deref().unwrap_or(""))) }
                        @else { (units::in_words(&row.shown)) }
                    }
                }
            }
        }
    }
}
