//! The second shot.
use crate::set_up::Stage;
pub fn stage() -> Stage {
    super::wide::stage()
}
