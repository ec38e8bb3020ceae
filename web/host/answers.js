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
    /** What has no reply yet, by its number: the bytes, and for a file who waits for it. */
    this.sent = new Map();
  }

  /** Asks. Of the questions that come while one is being answered only the newest is kept. */
  ask(bytes) {
    if (this.asked) {
      this.waiting = bytes;
      return;
    }
    this.asked = this.send({ bytes });
  }

  /** Has a file read; resolves with the reply. */
  read(bytes) {
    return new Promise((resolve, reject) => this.send({ bytes, resolve, reject }));
  }

  send(message) {
    this.number += 1;
    this.worker ??= this.start();
    this.sent.set(this.number, message);
    // The bytes are copied, not handed over: another worker may need them.
    this.worker.postMessage({ number: this.number, bytes: message.bytes });
    return this.number;
  }

  start() {
    const worker = new Worker(this.url, { type: "module" });
    worker.onmessage = ({ data }) => {
      if (worker !== this.worker) {
        return;
      }
      if (data.progress) {
        this.onProgress?.(data.progress);
        return;
      }
      if (data.failure !== undefined) {
        this.broke(data.failure, data.number);
        return;
      }
      const message = this.sent.get(data.number);
      this.sent.delete(data.number);
      if (message?.resolve) {
        message.resolve(data.bytes);
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
      if (worker === this.worker) {
        this.broke(event.message ?? "the part of the program that computes could not be loaded");
      }
    };
    return worker;
  }

  /**
   * The worker is lost over the message with this number, or over all of them when there is none. What else it was
   * sent goes to a new worker.
   */
  broke(why, number) {
    this.worker.terminate();
    this.worker = null;
    const { asked, sent } = this;
    this.sent = new Map();
    for (const [each, message] of sent) {
      if (number !== undefined && each !== number) {
        const again = this.send(message);
        this.asked = each === asked ? again : this.asked;
      } else if (message.reject) {
        message.reject(new Error(why));
      } else {
        this.next();
      }
    }
    // A file that cannot be read says nothing about the job that is open.
    if (!sent.get(number)?.reject) {
      this.onFailure?.(why);
    }
  }

  /** Ends the worker whatever it is at; what it was sent gets no reply, for this reason. */
  stop(why) {
    this.worker?.terminate();
    this.worker = null;
    const { sent } = this;
    this.sent = new Map();
    for (const { reject } of sent.values()) {
      reject?.(Object.assign(new Error(why), { stopped: true }));
    }
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
