// The window's side of the project: what the server knows, and how it is changed.
// It tells "state" (the project), "sections", "part" (a holder on its way), "holder", "progress", "hand" (what is changed by hand) and "trouble".

import {Refusals} from "./refusals.js";

const LOST =
  "The page has lost its server: nothing is saved any more. If “cradle page” has ended, start it again and open the" +
  " address that it prints.";
const IDLE = {step: "", building: false, reading: ""};
const NOT_DONE = "This was not done: something newer came in between. Press once more.";

export class Desk extends EventTarget {
  constructor() {
    super();
    this.schema = {};
    this.state = {revision: 0, values: {}, from_bottom: [], places: {}, problems: []};
    this.sections = {revision: 0, sections: []};
    this.holder = {revision: 0};
    this.parts = {};
    this.model = null;
    this.progress = IDLE;
    this.told = 0;
    this.ended = 0;
    this.asked = {};
    this.stopped = false;
    this.hand = null;
    this.refusals = new Refusals();
    this.queue = Promise.resolve();
  }

  async open() {
    this.schema = (await this.get("/schema")).body;
    await new Promise((done) => this.listen(done));
  }

  // Asked for only when this window is told of all that comes after: nothing falls between.
  async refresh() {
    const told = this.told;
    const [state, body] = await Promise.all([this.get("/state"), this.get("/part/body")]);
    if (body.body.thing) this.model = body.body;
    if (told === this.told) {
      const {step, building, reading} = {...IDLE, ...state.body};
      this.progress = {step, building, reading};
    }
    this.take(state.body);
    this.tell("progress");
    await Promise.all([this.readSections(), this.readHolder()]);
  }

  async readSections() {
    const sections = await this.newest("/sections");
    if (!sections) return;
    this.sections = sections;
    this.tell("sections");
  }

  async readHolder() {
    const holder = await this.newest("/holder");
    if (!holder) return;
    this.holder = holder;
    this.ended = Math.max(this.ended, holder.revision);
    this.parts = Object.fromEntries(Object.entries(this.parts).filter(([, part]) => part.revision > this.ended));
    this.tell("holder");
  }

  listen(done) {
    const events = new EventSource("/events");
    let lost = false;
    events.addEventListener("open", () => {
      if (lost) {
        lost = false;
        this.say([]);
      }
    });
    events.addEventListener("here", () => this.refresh().then(done));
    events.addEventListener("error", () => {
      lost = true;
      this.progress = IDLE;
      this.tell("progress");
      this.say([LOST]);
    });
    events.addEventListener("state", async (event) => {
      if (JSON.parse(event.data).revision > this.state.revision) this.take((await this.get("/state")).body);
    });
    events.addEventListener("sections", () => this.readSections());
    events.addEventListener("holder", (event) => {
      const {revision, stopped} = JSON.parse(event.data);
      this.stopped = stopped;
      this.ended = revision;
      this.readHolder();
    });
    events.addEventListener("part", async (event) => {
      const {stage, revision} = JSON.parse(event.data);
      const part = (await this.get(`/part/${stage}`)).body;
      if (part.revision === revision) {
        this.parts[stage] = part;
        if (stage === "body") this.model = part;
        if (stage === "causes" && this.holder.revision === revision) this.holder.causes = part.causes;
        this.tell("part", stage);
      }
    });
    events.addEventListener("progress", (event) => {
      this.told += 1;
      this.progress = JSON.parse(event.data);
      this.tell("progress");
    });
    events.addEventListener("trouble", (event) =>
      this.say(JSON.parse(event.data).problems.map((p) => p.words)),
    );
  }

  take(state) {
    if (state.revision < this.state.revision) return;
    if (state.revision > this.state.revision) this.stopped = false;
    // Of a file that cannot be read what was read last is shown on.
    const {values, from_bottom, places} = this.state;
    this.state = state.readable ? state : {...state, values, from_bottom, places};
    this.refusals.move(values, this.state.values);
    this.tell("state");
  }

  tell(kind, detail) {
    this.dispatchEvent(new CustomEvent(kind, {detail}));
  }

  say(lines) {
    this.tell("trouble", lines);
  }

  // Work for each kind of event, until what is given back is called.
  on(works) {
    const gone = new AbortController();
    for (const [kind, work] of Object.entries(works)) this.addEventListener(kind, work, {signal: gone.signal});
    return () => gone.abort();
  }

  async get(address) {
    return this.ask(address, {});
  }

  // What an address holds, or null where it has been asked for once more meanwhile.
  async newest(address) {
    const asked = (this.asked[address] || 0) + 1;
    this.asked[address] = asked;
    const answer = await this.get(address);
    return this.asked[address] === asked ? answer.body : null;
  }

  async post(address, data) {
    return this.ask(address, {
      method: "POST",
      headers: {"content-type": "application/json"},
      body: JSON.stringify(data),
    });
  }

  async ask(address, options) {
    try {
      const answer = await fetch(address, options);
      const body = (answer.headers.get("content-type") || "").includes("json") ? await answer.json() : {};
      const problems = (body.problems || []).length ? body.problems : [{where: "", words: NOT_DONE}];
      return {ok: answer.ok, status: answer.status, body, problems: answer.ok ? [] : problems};
    } catch (error) {
      return {ok: false, status: 0, body: {}, problems: [{where: "", words: LOST}]};
    }
  }

  // All the steps or none; what is wrong comes back as problems, each with the key it belongs to.
  edit(steps, label) {
    for (const step of steps) if (step.do === "remove") this.refusals.leave(step.key);
    return this.change("/edit", () => ({steps, label}));
  }

  set(key, value, label) {
    return this.edit([{do: "set", key, value}], label || words(key));
  }

  // What is being changed by hand and not saved yet: it is undone first. {undo, redo, back, again}, or null.
  takeHand(hand) {
    this.hand = hand;
    this.tell("hand");
  }

  undo() {
    if (this.hand && this.hand.undo) return this.hand.back();
    return this.change("/undo", () => ({}));
  }

  redo() {
    if (this.hand && this.hand.redo) return this.hand.again();
    return this.change("/redo", () => ({}));
  }

  change(address, data) {
    const turn = this.queue.then(async () => {
      const answer = await this.post(address, {...data(), revision: this.state.revision});
      if (answer.status === 409 && answer.body.state) {
        this.take(answer.body.state);
        this.say([
          "Somebody else has changed the project meanwhile. Your last change was not made;" +
            " the page shows what it says now.",
        ]);
      } else if (answer.ok) {
        this.say([]);
        this.take(answer.body.state || answer.body);
      }
      return answer;
    });
    this.queue = turn.catch(() => {});
    return turn;
  }

  // The path of a file that was handed over, or problems.
  async upload(file) {
    const answer = await this.ask(`/upload?name=${encodeURIComponent(file.name)}`, {
      method: "POST",
      body: file,
    });
    return answer.ok ? {path: answer.body.path, problems: []} : {path: null, problems: answer.problems};
  }

  value(key) {
    let inside = this.state.values;
    for (const step of steps(key)) {
      if (inside === null || inside === undefined) return undefined;
      inside = inside[step];
    }
    return inside;
  }

  problemsAt(key) {
    return this.state.problems.filter((p) => p.where === key);
  }
}

function steps(key) {
  return key
    .split(/[.[\]]+/)
    .filter(Boolean)
    .map((part) => (/^\d+$/.test(part) ? Number(part) - 1 : part));
}

function words(key) {
  return key.replace(/\[(\d+)\]/g, " $1").replace(/[._]/g, " ");
}
