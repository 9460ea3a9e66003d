//! What the demo is there to teach can be measured, where it should be: by the program's own readings, in the files that it
//! writes, and beside the truth that it says.
//!
//! Sources: the traits are those that the demo states (`README.md`); CIE 015:2018 and ISO/CIE 11664-6 (Delta E 2000);
//! ARRI, ALEXA Log C Curve, 2012 (EI 800: black at .0928 of signal); SMPTE ST 268-1 (bits of a DPX element);
//! Academy S-2014-004 (AP1). That a card tells the light and a veil lifts blacks is common practice, no source.

mod cameras;
mod deck;
mod film;
mod galley;
mod methods;
mod true_white;
mod wheelhouse;
