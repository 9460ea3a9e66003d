//! The one way to change the window's state.

use session::Project;

use super::wall::MOST_TILES;
use super::{Action, Bench, Message, OnPlaying, OnTable, Tile, Tried};

impl Bench {
    /// Does what a panel asks for. What is refused changes nothing and is said.
    pub fn apply(&mut self, action: Action) {
        if let Action::Playing(told) = &action
            && self.hear(told)
        {
            return;
        }
        self.revision += 1;
        if let Err(words) = self.perform(action) {
            self.message = Some(Message { words, wrong: true });
        }
        self.follow_cut();
    }

    fn perform(&mut self, action: Action) -> Result<(), String> {
        match action {
            Action::Edit(edit) => {
                self.tried = None;
                self.project_mut()?.apply(&edit).map_err(|error| error.to_string())?;
                self.settle();
            }
            Action::Try(edit) => {
                let project = self.project.as_ref().ok_or(NO_PROJECT)?;
                self.tried = Some(Tried::new(project.document(), edit).map_err(|error| error.to_string())?);
            }
            Action::Keep => {
                if let Some(tried) = self.tried.take() {
                    self.perform(Action::Edit(tried.edit()))?;
                }
            }
            Action::Return => {
                self.tried = None;
                (self.table.note, self.table.copying, self.table.run) = (None, None, None);
                (self.probes.cross, self.probes.naming) = (None, None);
                self.verdicts.running = None;
                self.trust.by_proof = None;
                self.entry.clear();
            }
            Action::Forget => self.tried = None,
            Action::StepBack => self.step(Project::step_back, "taken back", "there is nothing to take back")?,
            Action::StepForth => self.step(Project::step_forth, "brought again", "nothing was taken back")?,
            Action::Save => {
                self.project_mut()?.save().map_err(|error| error.to_string())?;
                self.say("saved");
            }
            Action::Open(path) => self.open(&path)?,
            Action::TakeUp => {
                self.project_mut()?.take_up();
                self.sheet = None;
                self.settle();
            }
            Action::Leave => {
                self.project_mut()?.leave().map_err(|error| error.to_string())?;
                self.sheet = None;
            }
            Action::Close => self.close(),
            Action::Lay(sheet) => {
                // A project that was not made is not asked about again.
                self.originals = self.originals.take().filter(|_| sheet == Some(super::Sheet::NewProject));
                self.sheet = sheet;
            }
            Action::Touch(touched) => self.touched = Some(touched),
            Action::Type(text) => self.entry = text,
            Action::Choose(shots) => self.choose(shots),
            Action::Shot(by) => self.go(by),
            Action::Frame(frame) => self.perform_on_playing(OnPlaying::Go(frame)),
            Action::Say(words) => self.say(&words),
            Action::OpenScales(opened) => self.opened = opened,
            Action::Table(action) => {
                let is_kept = matches!(action, OnTable::Anchor(_));
                self.perform_on_table(action);
                if is_kept {
                    self.keep_beside()?;
                }
            }
            Action::Probes(action) => self.perform_on_probes(action)?,
            Action::Steps(count) => self.walk(count)?,
            Action::SaveAndClose => {
                self.project_mut()?.save().map_err(|error| error.to_string())?;
                self.closing = true;
            }
            Action::CloseAsItIs => self.closing = true,
            Action::Verdict(action) => self.perform_on_verdicts(action)?,
            Action::Trust(action) => self.perform_on_trust(action)?,
            Action::Outside(at, file) => self.show_outside(at, file)?,
            Action::Dropped(path, beside) => self.take_dropped(path, beside)?,
            Action::Fault(words) => return Err(words),
            Action::Around(on) => self.stand_around(on)?,
            Action::Second(action) => self.perform_on_second(action)?,
            Action::Renders(action) => self.perform_on_renders(action)?,
            Action::Originals(action) => self.perform_on_originals(action)?,
            Action::Playing(action) => self.perform_on_playing(action),
            of_wall => self.perform_on_wall(of_wall)?,
        }
        Ok(())
    }

    fn perform_on_wall(&mut self, action: Action) -> Result<(), String> {
        let wall = &mut self.wall;
        match action {
            Action::Activate(tile) if tile < wall.tiles.len() => wall.active = tile,
            Action::Tile(at, tile) => {
                // A neighbour in the cut that becomes something else is none any more.
                wall.around = wall.around.take().filter(|_| at == super::around::MIDDLE);
                if let Some(place) = wall.tiles.get_mut(at) {
                    *place = Tile { number: place.number, ..tile };
                }
            }
            Action::AddTile if wall.tiles.len() < MOST_TILES => {
                let like = wall.tiles.get(wall.active).cloned().unwrap_or_default();
                wall.tiles.insert(
                    (wall.active + 1).min(wall.tiles.len()),
                    Tile { kept: false, number: 0, outside: None, ..like },
                );
                wall.active = (wall.active + 1).min(wall.tiles.len() - 1);
            }
            Action::DropTile(at) if wall.tiles.len() > 1 && at < wall.tiles.len() => {
                wall.tiles.remove(at);
                wall.active = wall.active.min(wall.tiles.len() - 1);
                wall.seam = wall.seam.filter(|_| wall.tiles.len() > 1);
                wall.difference &= wall.tiles.len() > 1;
            }
            Action::Tap(tap) => {
                if let Some(tile) = wall.tiles.get_mut(wall.active) {
                    tile.tap = tap;
                }
            }
            Action::Look(look) => {
                if let Some(tile) = wall.tiles.get_mut(wall.active) {
                    tile.look = look;
                }
            }
            Action::Before(on) => wall.before = on,
            Action::Alone(on) => wall.alone = on,
            other => wall.look_at(other)?,
        }
        wall.number_tiles();
        Ok(())
    }

    pub(super) fn project_mut(&mut self) -> Result<&mut Project, String> {
        self.project.as_mut().ok_or_else(|| NO_PROJECT.to_string())
    }

    /// Says something that is no fault.
    pub(super) fn say(&mut self, words: &str) {
        self.message = Some(Message { words: words.to_string(), wrong: false });
    }

    fn step<E: std::fmt::Display>(
        &mut self,
        turn: impl FnOnce(&mut Project) -> Result<Option<String>, E>,
        done: &str,
        none: &str,
    ) -> Result<(), String> {
        self.tried = None;
        let name = turn(self.project_mut()?).map_err(|error| error.to_string())?;
        self.settle();
        self.say(&name.map_or_else(|| none.to_string(), |name| format!("{done}: {name}")));
        Ok(())
    }

    /// Keeps what the window names in step with what there is.
    pub(super) fn settle(&mut self) {
        let Some(document) = self.project.as_ref().map(Project::document) else { return };
        for tile in &mut self.wall.tiles {
            tile.shot = tile.shot.take().filter(|name| document.shots.contains_key(name));
            tile.candidate = tile.candidate.take().filter(|name| document.candidates.contains_key(name));
        }
        self.chosen.retain(|name| document.shots.contains_key(name));
        let stands = |opened: &super::Opened| {
            let wiring = document.candidates.get(&opened.candidate);
            wiring.is_some_and(|wiring| wiring.graph().node_indices().any(|at| at.index() == opened.at))
        };
        self.opened = self.opened.take().filter(stands);
        let there = |touched: &super::Touched| document.kit.contains_key(&touched.member);
        self.touched = self.touched.take().filter(there);
        self.table.settle(document);
    }

    fn choose(&mut self, shots: Vec<String>) {
        self.take_middle();
        if let (Some(first), Some(tile)) = (shots.first(), self.wall.tiles.get_mut(self.wall.active)) {
            (tile.shot, tile.outside) = (Some(first.clone()), None);
        }
        self.chosen = shots.into_iter().collect();
    }

    /// Every tile that shows the active tile's shot goes with it, so that candidates stay side by side.
    fn go(&mut self, by: isize) {
        self.take_middle();
        let names: Vec<String> = self.cut().into_iter().map(str::to_string).collect();
        let Some(now) = self.shot().map(str::to_string) else { return };
        let Some(at) = names.iter().position(|name| *name == now) else { return };
        let to = at.saturating_add_signed(by).min(names.len().saturating_sub(1));
        let Some(next) = names.get(to).cloned() else { return };
        self.lead(&next);
        self.chosen = std::iter::once(next).collect();
    }

    /// Shows another shot wherever the active tile's is shown, and leaves alone what is chosen.
    pub(super) fn lead(&mut self, to: &str) {
        let Some(now) = self.shot().map(str::to_string) else { return };
        for tile in self.wall.tiles.iter_mut().filter(|tile| !tile.kept && tile.shot.as_ref() == Some(&now)) {
            tile.shot = Some(to.to_string());
        }
    }
}

pub(super) const NO_PROJECT: &str = "no project is open; open one, or start from a folder of originals";
