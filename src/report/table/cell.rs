//! A value in a cell of a table, before it is written as words or digits.

use std::borrow::Cow;

use crate::units::{Length, Millilitres, Money};

/// The value of a cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell<'a> {
    Blank,
    Text(Cow<'a, str>),
    Whole(i64),
    Decimal(f64),
    Money(Money),
    Length(Length),
    Volume(Millilitres),
    YesNo(bool),
}

macro_rules! cell_of {
    ($($type:ty: $value:ident => $cell:expr),+ $(,)?) => {
        $(impl<'a> From<$type> for Cell<'a> {
            fn from($value: $type) -> Self {
                $cell
            }
        })+
    };
}

cell_of! {
    &'a str: text => Cell::Text(text.into()),
    &'a String: text => Cell::Text(text.into()),
    String: text => Cell::Text(text.into()),
    Cow<'a, str>: text => Cell::Text(text),
    i64: number => Cell::Whole(number),
    u32: number => Cell::Whole(number.into()),
    u8: number => Cell::Whole(number.into()),
    usize: number => Cell::Whole(i64::try_from(number).unwrap_or(i64::MAX)),
    f64: number => Cell::Decimal(number),
    Money: amount => Cell::Money(amount),
    Length: length => Cell::Length(length),
    Millilitres: amount => Cell::Volume(amount),
    bool: yes => Cell::YesNo(yes),
}

impl<'a, T: Into<Cell<'a>>> From<Option<T>> for Cell<'a> {
    fn from(value: Option<T>) -> Self {
        value.map_or(Cell::Blank, Into::into)
    }
}
