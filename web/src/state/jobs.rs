//! Setting a job on the desk: that of the last visit, and what is picked on the page “Jobs” (`web/host/shelf-page.js`).

use editor::Session;
use wasm_bindgen::prelude::Closure;

use super::desk::{Desk, Kept, Side, State, Stop};
use crate::host::{self, Laid};
use crate::piece::later;

/// Hears what is picked on the page “Jobs”.
pub fn listen(desk: Desk) {
    type Begin = dyn FnMut(Vec<u8>, String, f64, String) -> String;
    let begin = Closure::<Begin>::new(move |reply: Vec<u8>, id: String, revision: f64, from: String| {
        let from = match from.as_str() {
            "kept" => Origin::Kept(id, revision),
            "brought" => Origin::Brought,
            "shown" => Origin::Shown,
            _ => Origin::Nothing,
        };
        begin_picked(desk, &reply, from).err().unwrap_or_default()
    });
    host::on_begin(&begin);
    // It is called for as long as the page is open.
    begin.forget();
}

/// Sets the job in a reply of the worker on the desk, or an empty one.
fn begin_picked(desk: Desk, reply: &[u8], from: Origin) -> Result<(), String> {
    let laid = if matches!(from, Origin::Nothing) { Laid::default() } else { host::laid_in(reply)? };
    let is_brought = matches!(from, Origin::Brought);
    begin(desk, laid, from);
    if is_brought {
        // Nobody should have to find out later that what they brought was never kept.
        desk.look(State::keep);
    }
    Ok(())
}

/// Opens the job of the last visit, or an empty one where that is not possible, unless another was begun meanwhile.
pub fn open_last(desk: Desk, id: String) {
    later(async move {
        let opened = stored_job(id).await;
        if desk.look(State::has_begun) {
            return;
        }
        match opened {
            Ok((laid, from)) => begin(desk, laid, from),
            Err(why) => {
                begin(desk, Laid::default(), Origin::Nothing);
                desk.act(|state| state.said = why);
            }
        }
    });
}

/// A job that is kept on this device.
async fn stored_job(id: String) -> Result<(Laid, Origin), String> {
    let record = host::load_job(&id).await.map_err(|error| host::reason(&error))?;
    let text = host::text_of(&record, "text");
    if text.is_empty() {
        return Err("The job is no longer kept on this device.".to_owned());
    }
    let laid = host::read_job(text.as_bytes()).await;
    let laid = laid.map_err(|why| format!("The kept job cannot be read:\n{why}"))?;
    Ok((laid, Origin::Kept(id, host::number_of(&record, "revision").unwrap_or_default())))
}

/// Where a job comes from that is set on the desk.
#[derive(Clone)]
pub enum Origin {
    /// It is empty.
    Nothing,
    /// It is kept on this device under this name, at this revision.
    Kept(String, f64),
    /// The user brought it, or began it from something ready: it is kept from the start.
    Brought,
    /// It is shown to look around in, and kept only once it is changed.
    Shown,
}

/// Sets a job on the desk.
pub fn begin(desk: Desk, Laid { document, standing }: Laid, from: Origin) {
    let (id, revision) = match &from {
        Origin::Kept(id, revision) => (id.clone(), *revision),
        _ => (host::new_job_id(), 0.0),
    };
    host::begin_job(&id, revision);
    desk.act(|state| {
        let mut session = Session::laid_out(document, &standing);
        // The new session stands in the same window as the old one.
        session.take_window(&state.session);
        session.show_all();
        state.session = session;
        state.sitting += 1;
        state.kept = if matches!(from, Origin::Kept(..)) { Kept::Here } else { Kept::Untouched };
        state.said.clear();
        state.answers.begin();
        state.side = Side::Checks;
        state.stop = Stop::Peek;
    });
}
