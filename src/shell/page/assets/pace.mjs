// Where a person is in a routine, at any moment of a clock that only goes forward; and the breath as lung
// volume over time. Milliseconds throughout. The same rules as the program's own player; a test plays both.

const BACK_WITHIN = 3000;

export class Player {
  /** @param timeline {total, cues: [{at, length, kind, step, breath}]} @param pace 1 = real time */
  constructor(timeline, pace = 1) {
    this.timeline = timeline;
    this.pace = pace;
    this.state = 'waiting';
    this.since = 0;
    this.from = 0;
    this.spans = [];
  }

  /** Takes up a routine that was begun before; it stands paused where it was left. */
  resume(at, spans) {
    this.state = 'paused';
    this.from = Math.min(Math.max(at, 0), this.timeline.total);
    this.spans = joined(spans);
  }

  get playing() { return this.state === 'playing'; }
  get over() { return this.state === 'over'; }

  start(now) {
    if (this.state !== 'waiting' && this.state !== 'paused') return;
    this.state = 'playing';
    this.since = now;
  }

  pause(now) {
    if (!this.playing) return;
    this.moveTo(now, this.position(now));
    this.state = 'paused';
  }

  position(now) {
    if (!this.playing) return this.from;
    return Math.min(this.from + Math.max(0, now - this.since) * this.pace, this.timeline.total);
  }

  /** When a position is reached; null unless playing, and for what lies behind. */
  deadline(position) {
    if (!this.playing || position < this.from) return null;
    return this.since + (position - this.from) / this.pace;
  }

  tick(now) {
    const position = this.position(now);
    if (this.playing && position >= this.timeline.total) this.end(now);
    return position;
  }

  end(now) {
    if (this.over) return;
    const at = this.position(now);
    this.moveTo(now, at);
    this.state = 'over';
    this.from = at;
  }

  skip(now) {
    if (this.state === 'waiting' || this.over) return;
    const position = this.position(now);
    const next = this.units().find((start) => start > position) ?? this.timeline.total;
    this.moveTo(now, next);
    if (next >= this.timeline.total) this.state = 'over';
  }

  back(now) {
    if (this.state === 'waiting' || this.over) return;
    const position = this.position(now);
    const starts = this.units().filter((start) => start <= position);
    const here = starts.pop() ?? 0;
    this.moveTo(now, position - here < BACK_WITHIN ? (starts.pop() ?? here) : here);
  }

  /** Index of the cue at a position: the last one that has begun. */
  index(position) {
    const { cues } = this.timeline;
    let low = 0;
    let high = cues.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (cues[middle].at <= position) low = middle + 1;
      else high = middle;
    }
    return Math.max(0, low - 1);
  }

  /** Spans of the routine that were played up to now; what was played twice counts once. */
  played(now) {
    return this.playing ? joined([...this.spans, [this.from, this.position(now)]]) : this.spans;
  }

  playedMs(now) {
    return this.played(now).reduce((sum, [from, to]) => sum + to - from, 0);
  }

  moveTo(now, target) {
    if (this.playing) {
      this.spans = this.played(now);
      this.since = now;
    }
    this.from = target;
  }

  units() {
    const { cues } = this.timeline;
    const starts = [];
    cues.forEach((cue, index) => {
      const before = cues[index - 1];
      if (!before || before.step !== cue.step || before.breath !== cue.breath) starts.push(cue.at);
    });
    return starts;
  }
}

function joined(spans) {
  const apart = [];
  const ordered = spans.filter(([from, to]) => from < to).sort((a, b) => a[0] - b[0]);
  for (const [from, to] of ordered) {
    const last = apart[apart.length - 1];
    if (last && from <= last[1]) last[1] = Math.max(last[1], to);
    else apart.push([from, to]);
  }
  return apart;
}

/** Lung volume over time: rises on the inhale, stays level in a hold, falls on the exhale. */
export class Trace {
  /** @param secondInhale length of a second, shorter step at the end of each inhale; 0 for one step */
  constructor(timeline, secondInhale = 0) {
    this.pieces = [];
    let level = 0;
    for (const cue of timeline.cues) {
      const target = { inhale: 1, exhale: 0, hold: level, hold_out: level }[cue.kind];
      if (target === undefined) continue;
      const first = cue.length - secondInhale;
      if (cue.kind === 'inhale' && secondInhale > 0 && first > 0) {
        const middle = level + (target - level) * (first / cue.length);
        this.pieces.push({ start: cue.at, length: first, from: level, to: middle });
        this.pieces.push({ start: cue.at + first, length: secondInhale, from: middle, to: target });
      } else {
        this.pieces.push({ start: cue.at, length: cue.length, from: level, to: target });
      }
      level = target;
    }
  }

  /** 0 to 1; null where nothing is breathed. */
  volume(position) {
    let found = null;
    let low = 0;
    let high = this.pieces.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.pieces[middle].start <= position) { found = this.pieces[middle]; low = middle + 1; } else high = middle;
    }
    if (!found) return null;
    const into = position - found.start;
    if (into > found.length) return null;
    if (found.length === 0) return found.to;
    const eased = (1 - Math.cos((Math.PI * into) / found.length)) / 2;
    return Math.min(1, Math.max(0, found.from + (found.to - found.from) * eased));
  }
}

/** 3:05 */
export function clock(ms) {
  const seconds = Math.ceil(ms / 1000);
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, '0')}`;
}
