// Soft tones by Web Audio, scheduled from the timeline on the audio clock: a timer looks a little ahead
// and hands every tone over before it is due, so neither drawing nor a busy page moves a tone.

const LOW = 220;
const HIGH = 330;
const LOUDNESS = 0.09;
const HORIZON = 150;
/** A hidden tab's timers may come once a minute only. */
const HIDDEN_HORIZON = 70000;

const ramp = (share) => (share >= 1 ? 1 : Math.sin((Math.PI / 2) * Math.max(0, share)) ** 2);

export class Tones {
  constructor(player, trace) {
    this.player = player;
    this.trace = trace;
    this.on = true;
    this.context = null;
    this.sounding = [];
    this.next = 0;
  }

  /** To be called in a click or key press: browsers let nothing sound before. */
  begin() {
    if (!this.on || !globalThis.AudioContext) return;
    try {
      this.context ??= new AudioContext({ latencyHint: 'playback' });
      this.context.resume().catch(() => {});
    } catch {
      this.context = null;
    }
  }

  /** Silence now, and go on from the player's place at the next tick. */
  jumped(now) {
    const time = this.context?.currentTime ?? 0;
    for (const { gain, source } of this.sounding) {
      gain.gain.cancelScheduledValues(time);
      gain.gain.setTargetAtTime(0, time, 0.015);
      try { source.stop(time + 0.1); } catch { /* it was over */ }
    }
    this.sounding = [];
    this.next = this.player.index(this.player.position(now));
  }

  setOn(on, now) {
    this.on = on;
    if (on) this.begin();
    this.jumped(now);
  }

  /** The time of the audio clock at which a moment of the page's clock is heard. */
  heardAt(moment, now) {
    const stamp = this.context.getOutputTimestamp?.();
    if (stamp?.performanceTime > 0) return stamp.contextTime + (moment - stamp.performanceTime) / 1000;
    return this.context.currentTime + (moment - now) / 1000;
  }

  tick(now) {
    const { player, context } = this;
    const { cues } = player.timeline;
    if (!player.playing || player.pace > 4) return;
    const until = now + (document.hidden ? HIDDEN_HORIZON : HORIZON);
    for (; this.next < cues.length; this.next += 1) {
      const cue = cues[this.next];
      const due = player.deadline(cue.at) ?? now;
      if (due > until) return;
      if (!this.on || context?.state !== 'running') continue;
      const wanted = this.heardAt(due, now);
      const at = Math.max(wanted, context.currentTime);
      // How much of the cue is over already, after a pause or a skip.
      const missed = Math.max(0, player.position(now) - cue.at) / 1000;
      this.sound(cue, at, missed);
      performance.mark('tone', { detail: { kind: cue.kind, late: (at - wanted) * 1000, ahead: due - now } });
    }
  }

  sound(cue, at, missed) {
    const length = cue.length / 1000 / this.player.pace;
    const left = length - missed;
    const low = this.trace.volume(cue.at) ?? 0;
    const high = this.trace.volume(cue.at + cue.length) ?? low;
    if (cue.kind === 'inhale' || cue.kind === 'exhale') this.breath(at, length, left, low, high, 1);
    else if (cue.kind === 'hold' || cue.kind === 'hold_out') this.breath(at, length, left, low, low, 0.56);
    else if (missed > 0.3) return;
    else if (cue.kind === 'move') this.bell(at, [[392, 1], [784, 0.3]], 3.5, 1.5);
    else if (cue.kind === 'stretch') this.bell(at, [[262, 1], [524, 0.2]], 2.5, 1.3);
  }

  breath(at, length, left, from, to, share) {
    if (left < 0.15) return;
    const { context } = this;
    const source = context.createOscillator();
    const gain = context.createGain();
    this.timbre ??= context.createPeriodicWave(new Float32Array([0, 0, 0.18, 0]), new Float32Array([0, 1, 0, 0.06]));
    source.setPeriodicWave(this.timbre);
    const sounding = length - Math.min(0.08, length * 0.1);
    const points = Math.max(32, Math.ceil(left * 40));
    const pitch = new Float32Array(points);
    const level = new Float32Array(points);
    for (let i = 0; i < points; i += 1) {
      const time = length - left + (left * i) / (points - 1);
      const volume = from + (to - from) * ((1 - Math.cos((Math.PI * time) / length)) / 2);
      pitch[i] = LOW + (HIGH - LOW) * volume;
      level[i] = LOUDNESS * share * (0.6 + 0.4 * ramp(time / (length * 0.35)))
        * ramp((sounding - time) / Math.min(length * 0.3, 0.6));
    }
    // The first point is reached by a short ramp, so that nothing clicks.
    const first = level[0];
    level[0] = 0;
    if (points > 1) level[1] = Math.max(level[1], first);
    source.frequency.setValueCurveAtTime(pitch, at, left);
    gain.gain.setValueCurveAtTime(level, at, left);
    this.play(source, gain, at, left);
  }

  bell(at, partials, seconds, loudness) {
    const { context } = this;
    for (const [frequency, share] of partials) {
      const source = context.createOscillator();
      const gain = context.createGain();
      source.frequency.value = frequency;
      gain.gain.setValueAtTime(0, at);
      gain.gain.linearRampToValueAtTime(LOUDNESS * loudness * share, at + 0.012);
      gain.gain.setTargetAtTime(0, at + 0.012, seconds / 5);
      this.play(source, gain, at, seconds);
    }
  }

  play(source, gain, at, seconds) {
    source.connect(gain).connect(this.context.destination);
    source.start(at);
    source.stop(at + seconds);
    const entry = { source, gain };
    this.sounding.push(entry);
    source.onended = () => {
      gain.disconnect();
      this.sounding = this.sounding.filter((other) => other !== entry);
    };
  }

  end() {
    this.jumped(performance.now());
    setTimeout(() => this.context?.close().catch(() => {}), 400);
  }
}
