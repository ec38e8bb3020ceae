// Asks the worker, one question at a time.

/**
 * Questions to the worker whose script is at `url`.
 *
 * `onAnswer(text, ms)` hears each answer and how long it took to compute: first what can be told at
 * once, then the same with findings, unless they were known or another question came between.
 * `onFailure(why)` hears that the worker broke down; the next question starts a new one.
 */
export class Answers {
  constructor(url, onAnswer, onFailure) {
    this.url = url;
    this.onAnswer = onAnswer;
    this.onFailure = onFailure;
    this.worker = null;
    this.busy = false;
    this.waiting = null;
  }

  /** Asks. Of the questions that come while one is being answered only the newest is kept. */
  ask(text) {
    if (this.busy) {
      this.waiting = text;
      return;
    }
    this.busy = true;
    this.worker ??= this.start();
    this.worker.postMessage(text);
  }

  start() {
    const worker = new Worker(this.url, { type: "module" });
    worker.onmessage = ({ data }) => {
      if (data.failure !== undefined) {
        this.broke(data.failure);
        return;
      }
      // Findings that follow may arrive while the next question is already being answered.
      if (data.first) {
        this.next();
      }
      this.onAnswer(data.text, data.ms);
    };
    worker.onerror = (event) => {
      event.preventDefault();
      this.broke(event.message ?? "the part of the program that computes could not be loaded");
    };
    return worker;
  }

  broke(why) {
    this.worker.terminate();
    this.worker = null;
    this.next();
    this.onFailure(why);
  }

  next() {
    this.busy = false;
    const text = this.waiting;
    this.waiting = null;
    if (text !== null) {
      this.ask(text);
    }
  }
}
