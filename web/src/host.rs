//! What the page's own small scripts do for the app: keeping jobs, files, and the worker that reads and answers.
//!
//! They are plain JavaScript below `web/host/`, because the interfaces of the browser they use are
//! asynchronous and callback-shaped; here they are only declared.

use engine::document::{Document, Standing};
use engine::post::{self, Reply};
use wasm_bindgen::JsValue;
use wasm_bindgen::prelude::{Closure, wasm_bindgen};

#[wasm_bindgen]
extern "C" {
    /// Asks the worker; the newest question waits, older ones that wait are dropped.
    #[wasm_bindgen(js_namespace = host)]
    pub fn ask(bytes: Vec<u8>);

    /// Has the worker read a file; the reply comes as it was sent.
    #[wasm_bindgen(js_namespace = host, js_name = readJob, catch)]
    async fn read(bytes: Vec<u8>) -> Result<JsValue, JsValue>;

    /// Sets who hears an answer of the worker, and why there is none.
    #[wasm_bindgen(js_namespace = host, js_name = onAnswer)]
    pub fn on_answer(answer: &Closure<dyn FnMut(Vec<u8>)>, failure: &Closure<dyn FnMut(String)>);

    /// Sets who hears what became of keeping the job: a state and a reason.
    #[wasm_bindgen(js_namespace = host, js_name = onKept)]
    pub fn on_kept(tell: &Closure<dyn FnMut(String, String)>);

    /// Sets who takes a job that is picked on the page “Jobs”: the reply of the worker that read it, the id and revision by
    /// which it is kept, and where it comes from; returned is why it is not opened.
    #[wasm_bindgen(js_namespace = host, js_name = onBegin)]
    pub fn on_begin(begin: &Closure<dyn FnMut(Vec<u8>, String, f64, String) -> String>);

    /// Sets how a question for a report is made of the words that ask for it, and who takes the reply and gives its
    /// markup.
    #[wasm_bindgen(js_namespace = host, js_name = onReport)]
    pub fn on_report(
        wanted: &Closure<dyn FnMut(String) -> Vec<u8>>,
        taken: &Closure<dyn FnMut(Vec<u8>) -> String>,
    );

    /// The markup that these words ask for.
    #[wasm_bindgen(js_namespace = host, js_name = tellReport, catch)]
    pub async fn tell_report(words: String) -> Result<JsValue, JsValue>;

    /// Tells what is selected on the drawing: ids with blanks between.
    #[wasm_bindgen(js_namespace = host)]
    pub fn selected(ids: &str);

    /// Reports that are shown hold no longer, because of the job or of the positions alone.
    #[wasm_bindgen(js_namespace = host, js_name = renewReports)]
    pub fn renew_reports(of_job: bool);

    /// From now on changes belong to this job.
    #[wasm_bindgen(js_namespace = host, js_name = beginJob)]
    pub fn begin_job(id: &str, revision: f64);

    /// Hands over a change of the job.
    #[wasm_bindgen(js_namespace = host, js_name = keepJob)]
    pub fn keep_job(title: &str, text: &str);

    /// One job that is kept and is to be opened: `{ id, revision, text }`. What waits to be kept is written before.
    #[wasm_bindgen(js_namespace = host, js_name = loadJob, catch)]
    pub async fn load_job(id: &str) -> Result<JsValue, JsValue>;

    /// The job that was open last, or nothing.
    #[wasm_bindgen(js_namespace = host, js_name = lastJob)]
    pub fn last_job() -> Option<String>;

    /// The job that the page never got over opening, or stopped over again and again; asked once, because then it is the
    /// last job no more.
    #[wasm_bindgen(js_namespace = host, js_name = stoppedOver)]
    pub fn stopped_over() -> Option<String>;

    /// Tells on the page “Jobs” that the program stopped over this job.
    #[wasm_bindgen(js_namespace = host, js_name = tellStopped)]
    pub fn tell_stopped(id: &str);

    /// A name for a new job that no other job has.
    #[wasm_bindgen(js_namespace = host, js_name = newJobId)]
    pub fn new_job_id() -> String;

    /// Gives a file to the user; tells how.
    #[wasm_bindgen(js_namespace = host, js_name = saveFile, catch)]
    pub async fn save_file(name: &str, text: &str) -> Result<JsValue, JsValue>;

    /// Tells that the drawing can be worked on.
    #[wasm_bindgen(js_namespace = host)]
    pub fn ready();

    /// Asks for what these words say, for what it does rather than for what it shows.
    #[wasm_bindgen(js_namespace = host, js_name = askReport)]
    pub fn ask_report(words: &str);
}

/// A job that was read, and where the symbols of its drawing stand.
#[derive(Default)]
pub struct Laid {
    /// The job.
    pub document: Document,
    /// Where its symbols stand.
    pub standing: Vec<Standing>,
}

/// The job of a file with this content, or why there is none.
pub async fn read_job(content: &[u8]) -> Result<Laid, String> {
    let reply = read(post::file(content)).await.map_err(|error| reason(&error))?;
    laid_in(&js_sys::Uint8Array::new(&reply).to_vec())
}

/// The job in a reply of the worker that read a file, or why there is none.
pub fn laid_in(reply: &[u8]) -> Result<Laid, String> {
    match Reply::from_bytes(reply) {
        Reply::Job(document, standing) => Ok(Laid { document, standing }),
        Reply::Failure(why) => Err(why),
        Reply::Answer(_) | Reply::Report(_) => Err("the file was not read".to_owned()),
    }
}

/// The property `name` of a plain object as text; empty when it has none.
pub fn text_of(object: &JsValue, name: &str) -> String {
    js_sys::Reflect::get(object, &JsValue::from_str(name))
        .ok()
        .and_then(|value| value.as_string())
        .unwrap_or_default()
}

/// The property `name` of a plain object as a number.
pub fn number_of(object: &JsValue, name: &str) -> Option<f64> {
    js_sys::Reflect::get(object, &JsValue::from_str(name)).ok().and_then(|value| value.as_f64())
}

/// What a refused promise says.
pub fn reason(error: &JsValue) -> String {
    let message = text_of(error, "message");
    if message.is_empty() {
        error.as_string().unwrap_or_else(|| "the browser gave no reason".to_owned())
    } else {
        message
    }
}
