// Asks the worker: one question at a time, and files beside that.

/**
 * What the worker whose script is at `url` does.
 *
 * `onAnswer(bytes)` hears each answer: first what can be told at once, then the same with findings, unless they were
 * known or another question came between. `onFailure(why)` hears that the worker broke down; what is asked next starts
 * a new one.
 */
export class Answers {
  constructor(url, onAnswer, onFailure) {
    this.url = url;
    this.onAnswer = onAnswer;
    this.onFailure = onFailure;
    this.worker = null;
    this.number = 0;
    /** The number of the question that is being answered; 0 when there is none. */
    this.asked = 0;
    this.waiting = null;
    /** Who waits for a file, by the number of the message. */
    this.readers = new Map();
  }

  /** Asks. Of the questions that come while one is being answered only the newest is kept. */
  ask(bytes) {
    if (this.asked) {
      this.waiting = bytes;
      return;
    }
    this.asked = this.send(bytes);
  }

  /** Has a file read; resolves with the reply. */
  read(bytes) {
    return new Promise((resolve, reject) => this.readers.set(this.send(bytes), { resolve, reject }));
  }

  send(bytes) {
    this.number += 1;
    this.worker ??= this.start();
    this.worker.postMessage({ number: this.number, bytes }, [bytes.buffer]);
    return this.number;
  }

  start() {
    const worker = new Worker(this.url, { type: "module" });
    worker.onmessage = ({ data }) => {
      if (data.failure !== undefined) {
        this.broke(data.failure);
        return;
      }
      const reader = this.readers.get(data.number);
      if (reader) {
        this.readers.delete(data.number);
        reader.resolve(data.bytes);
        return;
      }
      // Findings that follow may arrive while the next question is already being answered.
      if (data.number === this.asked) {
        this.next();
      }
      this.onAnswer(data.bytes);
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
    for (const { reject } of this.readers.values()) {
      reject(new Error(why));
    }
    this.readers.clear();
    this.next();
    this.onFailure(why);
  }

  next() {
    this.asked = 0;
    const bytes = this.waiting;
    this.waiting = null;
    if (bytes !== null) {
      this.ask(bytes);
    }
  }
}
