//! Asking an operation or a step of whatever kind.

use colour::{Affine, CodeRange, Matrix};

use crate::{
    Budget, Context, Derived, Eval, Op, OpError, Operation, Point, Pointwise, Rendered, SettingError, Settings as _,
    Shader, Signal, Signals, Step, Trim,
};

impl Op {
    /// A neutral operation by its name.
    pub fn named(id: &str) -> Option<Op> {
        Self::all().into_iter().find(|op| op.id() == id)
    }

    /// See [`Operation::of_version`](crate::Operation::of_version), by the operation's name.
    pub fn of_version(id: &str, version: u32) -> Option<(Op, &'static str)> {
        fn older<T: Operation + Into<Op>>(_: &T, version: u32) -> Option<(Op, &'static str)> {
            T::of_version(version).map(|(op, note)| (op.into(), note))
        }
        let op = Self::named(id)?;
        each_op!(&op, op => older(op, version))
    }

    /// A setting as text.
    pub fn get(&self, key: &str) -> Option<String> {
        each_op!(self, op => op.get(key))
    }

    /// Sets a setting from text, within its hard range.
    ///
    /// # Errors
    /// An unknown key, text that is no value of that kind, a value outside the hard range.
    pub fn set(&mut self, key: &str, text: &str) -> Result<(), SettingError> {
        each_op!(self, op => op.set(key, text))
    }

    /// See [`Settings::add_trims`](crate::Settings::add_trims).
    ///
    /// # Errors
    /// As there.
    pub fn add_trims(&mut self, key: &str, trims: &[&str]) -> Result<(), SettingError> {
        each_op!(self, op => op.add_trims(key, trims))
    }

    /// See [`Settings::sum_of_trims`](crate::Settings::sum_of_trims).
    ///
    /// # Errors
    /// As there.
    pub fn sum_of_trims(&self, key: &str, trims: &[&str]) -> Result<Option<Trim>, SettingError> {
        each_op!(self, op => op.sum_of_trims(key, trims))
    }

    /// See [`Settings::set_between`](crate::Settings::set_between).
    ///
    /// # Errors
    /// As there.
    pub fn set_between(&mut self, key: &str, marks: [&str; 2], share: f64) -> Result<(), SettingError> {
        each_op!(self, op => op.set_between(key, marks, share))
    }

    /// Checks every setting against its hard range, as after loading.
    ///
    /// # Errors
    /// The first setting outside it.
    pub fn check(&self) -> Result<(), SettingError> {
        each_op!(self, op => op.check())
    }

    /// See [`Operation::signals`](crate::Operation::signals).
    ///
    /// # Errors
    /// As there.
    pub fn signals(&self, context: &Context<'_>, given: &Signal) -> Result<Signals, OpError> {
        each_op!(self, op => op.signals(context, given))
    }

    /// See [`Operation::reads`](crate::Operation::reads).
    ///
    /// # Errors
    /// As there.
    pub fn reads(&self, context: &Context<'_>) -> Result<Option<Signal>, OpError> {
        each_op!(self, op => op.reads(context))
    }

    /// See [`Operation::steps`](crate::Operation::steps).
    pub fn steps(&self, context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        each_op!(self, op => op.steps(context, signals))
    }

    /// See [`Operation::is_neutral`](crate::Operation::is_neutral).
    pub fn is_neutral(&self) -> bool {
        each_op!(self, op => op.is_neutral())
    }

    /// See [`Operation::clamps`](crate::Operation::clamps).
    pub fn clamps(&self) -> bool {
        each_op!(self, op => op.clamps())
    }

    /// See [`Operation::uses_primaries`](crate::Operation::uses_primaries).
    pub fn uses_primaries(&self) -> bool {
        each_op!(self, op => op.uses_primaries())
    }

    /// See [`Operation::concern`](crate::Operation::concern).
    pub fn concern(&self, given: &Signal) -> Option<String> {
        each_op!(self, op => op.concern(given))
    }

    /// See [`Operation::rendered`](crate::Operation::rendered).
    pub fn rendered(&self, gives: &Signal) -> Option<Rendered> {
        each_op!(self, op => op.rendered(gives))
    }

    /// See [`Operation::range`](crate::Operation::range).
    pub fn range(&self) -> Option<CodeRange> {
        each_op!(self, op => op.range())
    }
}

impl Pointwise for Point {
    fn describe(&self) -> String {
        each_point!(self, op => op.describe())
    }

    fn comes_to(&self, takes: &Signal) -> Option<String> {
        each_point!(self, op => op.comes_to(takes))
    }

    fn shader(&self) -> Shader {
        each_point!(self, op => op.shader())
    }

    fn eval(&self, takes: &Signal) -> Eval {
        each_point!(self, op => op.eval(takes))
    }

    fn derive(&self, takes: &Signal) -> Derived {
        each_point!(self, op => op.derive(takes))
    }

    fn matrix(&self, takes: &Signal) -> Option<Matrix> {
        each_point!(self, op => op.matrix(takes))
    }

    fn affine(&self, takes: &Signal) -> Option<Affine> {
        each_point!(self, op => op.affine(takes))
    }

    fn is_by_channel(&self) -> bool {
        each_point!(self, op => op.is_by_channel())
    }

    fn budget(&self) -> Budget {
        each_point!(self, op => op.budget())
    }

    fn inner_rounding(&self, takes: &Signal) -> Option<Eval> {
        each_point!(self, op => op.inner_rounding(takes))
    }

    fn is_undone_by(&self, next: &Point) -> bool {
        each_point!(self, op => op.is_undone_by(next))
    }
}
