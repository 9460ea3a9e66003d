//! The macro behind the list of operations in `lib.rs`: it declares the rooms and writes the two enums.

// `$d` is a dollar sign: the two dispatch macros are written by this one.
macro_rules! registry {
    (
        ($d:tt)
        pointwise { $($point_room:ident::$point:ident = $point_id:literal),* $(,)? }
        expanding { $($expanding_room:ident::$expanding:ident = $expanding_id:literal),* $(,)? }
        conversions { $($conversion_room:ident::$conversion:ident),* $(,)? }
    ) => {
        $(pub mod $point_room; pub use $point_room::$point;)*
        $(pub mod $expanding_room; pub use $expanding_room::$expanding;)*
        $(pub mod $conversion_room; pub use $conversion_room::$conversion;)*

        /// An operation with its settings, as a kit holds it.
        #[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
        #[serde(tag = "operation")]
        #[expect(missing_docs, reason = "each variant is documented by its room")]
        pub enum Op {
            $(#[serde(rename = $point_id)] $point($point),)*
            $(#[serde(rename = $expanding_id)] $expanding($expanding),)*
        }

        /// A step on pixels: a pointwise operation, or a conversion that elaboration inserts.
        #[derive(Debug, Clone, PartialEq)]
        #[expect(missing_docs, reason = "each variant is documented by its room")]
        pub enum Point {
            $($point($point),)*
            $($conversion($conversion),)*
        }

        $(impl From<$point> for Op { fn from(op: $point) -> Self { Self::$point(op) } })*
        $(impl From<$expanding> for Op { fn from(op: $expanding) -> Self { Self::$expanding(op) } })*
        $(impl From<$point> for Point { fn from(op: $point) -> Self { Self::$point(op) } })*
        $(impl From<$conversion> for Point { fn from(op: $conversion) -> Self { Self::$conversion(op) } })*

        macro_rules! each_op {
            ($d op:expr, $d name:ident => $d body:expr) => { match $d op {
                $(Op::$point($d name) => $d body,)*
                $(Op::$expanding($d name) => $d body,)*
            } };
        }

        macro_rules! each_point {
            ($d op:expr, $d name:ident => $d body:expr) => { match $d op {
                $(Point::$point($d name) => $d body,)*
                $(Point::$conversion($d name) => $d body,)*
            } };
        }

        impl Op {
            /// Every operation once, with neutral settings, in registry order.
            pub fn all() -> Vec<Op> {
                vec![
                    $(Op::$point(<$point as Default>::default()),)*
                    $(Op::$expanding(<$expanding as Default>::default()),)*
                ]
            }

            /// The operation's stable name.
            pub fn id(&self) -> &'static str {
                match self {
                    $(Op::$point(_) => <$point as Operation>::ID,)*
                    $(Op::$expanding(_) => <$expanding as Operation>::ID,)*
                }
            }

            /// The version of its maths.
            pub fn version(&self) -> u32 {
                match self {
                    $(Op::$point(_) => <$point as Operation>::VERSION,)*
                    $(Op::$expanding(_) => <$expanding as Operation>::VERSION,)*
                }
            }

            /// What it does to the picture, in one line.
            pub fn summary(&self) -> &'static str {
                match self {
                    $(Op::$point(_) => <$point as Operation>::SUMMARY,)*
                    $(Op::$expanding(_) => <$expanding as Operation>::SUMMARY,)*
                }
            }

            /// Where it works unless told otherwise.
            pub fn home(&self) -> Domain {
                match self {
                    $(Op::$point(op) => Operation::home(op),)*
                    $(Op::$expanding(op) => Operation::home(op),)*
                }
            }

            /// Its settings as data: keys, units, ranges, tooltips.
            pub fn fields(&self) -> &'static [Field] {
                match self {
                    $(Op::$point(_) => <$point as Settings>::FIELDS,)*
                    $(Op::$expanding(_) => <$expanding as Settings>::FIELDS,)*
                }
            }

            /// The operation that undoes it, if there is one.
            pub fn inverse(&self) -> Option<Op> {
                match self {
                    $(Op::$point(op) => Operation::inverse(op).map(Op::from),)*
                    $(Op::$expanding(op) => Operation::inverse(op).map(Op::from),)*
                }
            }
        }
    };
}
