//! Whether a slot holds a value, and if not, why.
//!
//! In: nothing. Out: [`Status`], carried beside every number.
//! Never: is told by a NaN: `max(NaN, 1)` is 1, and an unworkable line would come out as a clean pass.

/// Makes the reasons and their list of the same rows, so that none is in one and not in the other.
macro_rules! reasons {
    ($($(#[$doc:meta])* $reason:ident,)*) => {
        /// Why a value cannot be worked out.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        #[repr(u8)]
        pub enum Reason { $($(#[$doc])* $reason,)* }

        impl Reason {
            /// Every reason, each in the place that its number gives.
            const ALL: &[Self] = &[$(Self::$reason,)*];
        }
    };
}

reasons! {
    /// Division by zero.
    DivisionByZero,
    /// The root of a negative number.
    RootOfNegative,
    /// The logarithm of zero or less.
    LogarithmOfNotPositive,
    /// A power that has no value.
    NoPower,
    /// No angle has that cosine.
    NoAngle,
    /// A step of zero or less.
    NoStep,
    /// Too large to be a number.
    NotFinite,
    /// No row fits.
    NoSuchRow,
    /// Two rows fit.
    TwoRows,
    /// Outside the table.
    BeyondTable,
    /// Within tolerance it may be needed and not needed.
    MayNotBeNeeded,
    /// The table has no figure there.
    MissingCell,
    /// A linked value outside its plausible range.
    OutOfRange,
    /// A linked value that is not one of the choices.
    NotAChoice,
}

/// Whether a slot holds a value: a tag, a reason, and the slot where it began, packed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Status(u64);

/// A status taken apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// There is a value.
    Worked,
    /// An input is open: that of the slot.
    Open(u32),
    /// It cannot be worked, for the reason, beginning at the slot.
    Unworkable(Reason, u32),
    /// It is not needed, for the reason that the slot's line gives.
    NotNeeded(u32),
}

/// Not stored yet: the slot is the one it will be stored in.
const FRESH: u32 = u32::MAX;
const OPEN: u64 = 1 << 40;
const UNWORKABLE: u64 = 2 << 40;
const NOT_NEEDED: u64 = 3 << 40;

impl Status {
    /// There is a value.
    pub const WORKED: Self = Self(0);
    /// Not needed, beginning where it will be stored.
    pub const NOT_NEEDED_HERE: Self = Self(NOT_NEEDED | FRESH as u64);

    /// Returns the status of an open input.
    pub fn open(slot: u32) -> Self {
        Self(OPEN | u64::from(slot))
    }

    /// Returns the status of a line that is not needed.
    pub fn not_needed(slot: u32) -> Self {
        Self(NOT_NEEDED | u64::from(slot))
    }

    /// Returns the status of what cannot be worked, beginning where it will be stored.
    pub fn unworkable(reason: Reason) -> Self {
        Self(UNWORKABLE | ((reason as u64) << 32) | u64::from(FRESH))
    }

    /// Returns whether there is a value.
    #[inline]
    pub fn is_worked(self) -> bool {
        self.0 == 0
    }

    /// Returns whether all of some slots have a value.
    #[inline]
    pub(super) fn all_worked(statuses: &[Self]) -> bool {
        statuses.iter().fold(0, |any, status| any | status.0) == 0
    }

    /// Returns the status as it is stored in a slot.
    #[inline]
    pub(super) fn stored(self, slot: u32) -> Self {
        if self.0 & u64::from(u32::MAX) == u64::from(FRESH) {
            Self(self.0 & !u64::from(u32::MAX) | u64::from(slot))
        } else {
            self
        }
    }

    /// Returns the graver of two: not needed, then unworkable, then open; the first of equals.
    #[inline]
    pub fn or(self, other: Self) -> Self {
        if other.0 >> 40 > self.0 >> 40 { other } else { self }
    }

    /// Returns the status taken apart.
    pub fn state(self) -> State {
        let slot = (self.0 & u64::from(u32::MAX)) as u32;
        // Only `unworkable` puts a reason there.
        let reason = ((self.0 >> 32) & 0xff) as usize;
        match self.0 >> 40 {
            0 => State::Worked,
            1 => State::Open(slot),
            2 => State::Unworkable(Reason::ALL[reason], slot),
            _ => State::NotNeeded(slot),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_status_comes_apart_as_it_was_made() {
        for reason in Reason::ALL.iter().copied() {
            assert_eq!(Status::unworkable(reason).stored(7).state(), State::Unworkable(reason, 7));
        }
        assert_eq!(Status::open(3).stored(9).state(), State::Open(3));
        assert_eq!(Status::NOT_NEEDED_HERE.stored(4).state(), State::NotNeeded(4));
        assert_eq!(Status::WORKED.state(), State::Worked);
    }

    #[test]
    fn the_graver_status_wins() {
        let (open, not_needed) = (Status::open(1), Status::not_needed(2));
        assert_eq!(open.or(not_needed), not_needed);
        assert_eq!(not_needed.or(Status::unworkable(Reason::NoStep)), not_needed);
        assert_eq!(Status::WORKED.or(open), open);
        assert_eq!(open.or(Status::open(5)), open);
    }
}
