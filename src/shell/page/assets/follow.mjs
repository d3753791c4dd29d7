// Follows an evening: plays its timeline, draws the breath, keeps the place, tells the service.

import { Player, Trace, clock } from './pace.mjs';
import { Tones } from './sound.mjs';

const root = document.querySelector('#follow');
const routine = JSON.parse(root.dataset.routine);
const token = root.dataset.token;
const pace = Number(root.dataset.pace) || 1;
/** A rehearsal, or one tried by day, leaves no record unless that is asked for. */
const records = () => root.dataset.records === 'true' || Boolean(find('record')?.checked);
const KEPT = 'evenfall-run';
/** From the click to the first moment, so that the first tone can be handed over before it is due. */
const LEAD = 200;
const nonce = crypto.randomUUID();
const find = (id) => document.getElementById(id);
const timeline = {
  total: routine.total_ms,
  cues: routine.cues.map(([at, length, kind, text, step, breath]) => ({ at, length, kind, text, step, breath })),
};
const breaths = timeline.cues.filter((cue) => cue.kind === 'inhale').length;
const holds = routine.steps.length;
const player = new Player(timeline, pace);
const trace = new Trace(timeline, routine.second_inhale_ms);
const tones = new Tones(player, trace);
const still = matchMedia('(prefers-reduced-motion: reduce)');
const canvas = find('trace');
const WORDS = { inhale: 'Inhale', hold: 'Hold', exhale: 'Exhale', hold_out: 'Hold, lungs empty' };

let run = root.dataset.run || '';
let started = Number(root.dataset.started) || 0;
let shown = -1;
let lock = null;
let timer = 0;
let lastTick = 0;
let wallAhead = 0;
let saved = 0;
let sent = 0;
let drawn = 0;

// ---- words ----

function put(id, text) {
  const element = find(id);
  if (element.textContent !== text) element.textContent = text;
}

function nextWords(index) {
  const cue = timeline.cues[index];
  const next = timeline.cues[index + 1];
  if (!next || next.kind === 'end') return 'Then it is done.';
  if (next.kind === 'stretch') return '';
  if (next.kind === 'move') {
    const { name, side } = routine.steps[next.step];
    const before = routine.steps[cue.step];
    if (before && before.name === name) return `Next: the same, ${side.toLowerCase()}.`;
    return `Next: ${name}${side ? `, ${side.toLowerCase()}` : ''}.`;
  }
  const seconds = Number((next.length / 1000).toFixed(1));
  return cue.breath === null ? `Next: breathing, ${routine.breathing}.` : `Then ${WORDS[next.kind].toLowerCase()}, ${seconds} s.`;
}

function showCue(index, now) {
  shown = index;
  const cue = timeline.cues[index];
  const step = routine.steps[cue.step];
  const breathing = cue.breath !== null;
  root.dataset.cue = cue.kind;
  find('picture').hidden = breathing;
  find('breath').hidden = !breathing;
  for (const figure of find('picture').children) figure.hidden = Number(figure.dataset.step) !== cue.step;
  put('what', step ? step.name : WORDS[cue.kind] ?? '');
  put('side', step ? step.side : '');
  put('how', step ? (cue.kind === 'move' ? step.set_up : `${step.feel} ${step.ease_off}`) : cue.text === WORDS[cue.kind] ? '' : cue.text);
  put('next', nextWords(index));
  const count = step ? `${cue.step + 1} of ${holds}` : `${cue.breath + 1} of ${breaths}`;
  put('phase', `${{ move: 'Get into hold', stretch: 'Hold' }[cue.kind] ?? 'Breath'} ${count}`);
  put('live', step ? cue.text : WORDS[cue.kind] ?? '');
  const due = player.deadline(cue.at);
  if (due !== null && now >= due) performance.mark('cue', { detail: { index, kind: cue.kind, late: now - due } });
  showTime(now);
}

function showTime(now) {
  const position = player.position(now);
  const cue = timeline.cues[player.index(position)];
  put('seconds', String(Math.ceil((cue.at + cue.length - position) / 1000)));
  put('left', `${clock(timeline.total - position)} left`);
  if (cue.breath !== null && !moves()) {
    // The bar shows the lungs as the line does, in steps of a second.
    const whole = Math.min(1, (Math.floor((position - cue.at) / 1000) * 1000) / (cue.length || 1));
    const full = { inhale: whole, exhale: 1 - whole, hold: 1, hold_out: 0 }[cue.kind];
    find('filled').style.width = `${(full * 100).toFixed(1)}%`;
  }
}

// ---- the breath ----

function moves() { return find('moving').checked; }

function draw(now) {
  const position = player.position(now);
  const scale = devicePixelRatio || 1;
  const width = Math.round(canvas.clientWidth * scale);
  const height = Math.round(canvas.clientHeight * scale);
  if (!width || !height) return;
  if (canvas.width !== width || canvas.height !== height) { canvas.width = width; canvas.height = height; }
  const style = getComputedStyle(canvas);
  const brush = canvas.getContext('2d');
  const thick = Math.max(4 * scale, height / 70);
  const radius = thick * 2.4;
  // A narrow screen shows less time, so that the line is no steeper there.
  const shownMs = 1000 * Math.min(18, Math.max(9, canvas.clientWidth / 45));
  const behind = shownMs * 0.28;
  const ahead = shownMs - behind;
  const here = (width * behind) / (behind + ahead);
  const x = (at) => here + ((at - position) * width) / (behind + ahead);
  const y = (volume) => height - radius * 1.6 - volume * (height - radius * 3.2);
  brush.clearRect(0, 0, width, height);
  brush.lineWidth = thick;
  brush.lineJoin = 'round';
  brush.lineCap = 'round';
  brush.strokeStyle = style.color;
  for (const [from, to, alpha] of [[position - behind, position, 0.35], [position, position + ahead, 0.85]]) {
    brush.globalAlpha = alpha;
    brush.beginPath();
    let open = false;
    const step = (behind + ahead) / 180;
    for (let at = from; at < to + step; at += step) {
      const volume = trace.volume(Math.min(at, to));
      if (volume === null) { open = false; continue; }
      if (open) brush.lineTo(x(Math.min(at, to)), y(volume));
      else brush.moveTo(x(Math.min(at, to)), y(volume));
      open = true;
    }
    brush.stroke();
  }
  brush.globalAlpha = 1;
  const volume = trace.volume(position);
  if (volume === null) return;
  brush.fillStyle = style.borderTopColor;
  brush.beginPath();
  brush.arc(here, y(volume), radius, 0, 2 * Math.PI);
  brush.fill();
}

function frame(moment) {
  if (root.dataset.state === 'playing' && !find('breath').hidden && moves()) {
    const next = timeline.cues[shown + 1];
    const due = (next && player.deadline(next.at)) ?? Infinity;
    // Thirty pictures a second are enough for a slow line, and none shortly before a cue.
    if (moment - drawn > 30 && due - moment > 25) { drawn = moment; draw(performance.now()); }
  }
  requestAnimationFrame(frame);
}

function showBreathing() {
  canvas.hidden = !moves();
  find('bar').hidden = moves();
  if (moves()) draw(performance.now());
}

// ---- time ----

function tick() {
  const now = performance.now();
  const wall = Date.now() - now;
  // The clock on the wall went on while this page stood still: the machine slept.
  if (player.playing && lastTick && (wall - wallAhead > 3000 || now - lastTick > 90000)) {
    player.pause(lastTick);
    changed(now, 'The machine slept, so this waited for you.');
  }
  wallAhead = wall;
  lastTick = now;
  if (!player.playing) return;
  tones.tick(now);
  const position = player.tick(now);
  if (player.over) { finish(now); return; }
  const index = player.index(position);
  if (index !== shown) showCue(index, now);
  else showTime(now);
  aim(now);
  if (now - saved > 1000) save(now);
  if (now - sent > 10000) report(now);
}

/** One more tick at the very moment of the next cue, where it comes before the next regular one. */
function aim(now) {
  clearTimeout(timer);
  const next = timeline.cues[shown + 1];
  const due = next && player.deadline(next.at);
  if (due !== null && due !== undefined && due - now < 60) timer = setTimeout(tick, Math.max(0, due - now));
}

function changed(now, said = '') {
  root.dataset.state = player.playing ? 'playing' : 'paused';
  put('pause', player.playing ? 'Pause' : 'Go on');
  put('state', player.playing ? '' : said || 'Paused');
  tones.jumped(now);
  if (player.playing) { keepAwake(); tick(); } else { letSleep(); showCue(player.index(player.position(now)), now); if (moves()) draw(now); }
  save(now);
}

function toggle() {
  const now = performance.now();
  if (player.playing) player.pause(now);
  else { tones.begin(); player.start(performance.now() + LEAD); take(); }
  changed(now);
}

function jump(move) {
  const now = performance.now();
  player[move](now);
  if (player.over) { finish(now); return; }
  showCue(player.index(player.position(now)), now);
  tones.jumped(now);
  if (moves()) draw(now);
  save(now);
}

// ---- screen ----

async function keepAwake() {
  if (lock || document.hidden) return;
  try {
    lock = await navigator.wakeLock.request('screen');
    lock.addEventListener('release', () => { lock = null; });
    if (!player.playing) letSleep();
  } catch { /* works without */ }
}

function letSleep() { lock?.release().catch(() => {}); lock = null; }

// ---- the service ----

function post(path, fields) {
  const body = new URLSearchParams({ form_token: token, run, holder: nonce, ...fields });
  return fetch(path, { method: 'POST', body, keepalive: true, redirect: 'error' });
}

function place(now) {
  const spans = player.played(now).map(([from, to]) => [Math.round(from), Math.round(to)]);
  return { position: Math.round(player.position(now)), spans: JSON.stringify(spans) };
}

function save(now) {
  saved = now;
  if (!run || player.over) return;
  sessionStorage.setItem(KEPT, JSON.stringify({ run, playing: player.playing, started, ...place(now) }));
}

function begun() { return post('/follow/begin', { started, kept: root.dataset.kept }); }

async function report(now, take = false) {
  sent = now;
  if (!records()) return;
  try {
    let answer = await post('/follow/at', { ...place(now), take: take ? 1 : 0 });
    if (answer.status === 404) { await begun(); answer = await post('/follow/at', { ...place(now), take: 1 }); }
    if (answer.status === 409) elsewhere();
  } catch { /* told again in ten seconds */ }
}

const windows = new BroadcastChannel('evenfall-run');
windows.onmessage = ({ data }) => { if (data.run === run && data.nonce !== nonce) elsewhere(); };

function take() {
  windows.postMessage({ run, nonce });
  report(performance.now(), true);
}

function elsewhere() {
  if (!player.playing) return;
  const now = performance.now();
  player.pause(now);
  changed(now, 'This goes on in another window. Press Go on to have it here.');
}

// ---- start and end ----

function screen(name) {
  for (const id of ['first', 'stage', 'last']) find(id).hidden = id !== name;
}

/** @param from where to take up a run that was begun before; none begins a new one */
function begin(from = null) {
  tones.on = find('tones').checked;
  if (from) player.resume(from.position, from.spans);
  else {
    run = crypto.randomUUID();
    started = Date.now();
  }
  if (find('whole').checked && !document.fullscreenElement) document.documentElement.requestFullscreen?.().catch(() => {});
  tones.begin();
  screen('stage');
  showBreathing();
  // Only now: to open the sound can take a quarter of a second.
  const now = performance.now();
  player.start(now + LEAD);
  if (from || !records()) take();
  else begun().then(() => take(), () => {});
  shown = -1;
  changed(now);
  find('pause').focus({ preventScroll: true });
}

async function finish(now) {
  letSleep();
  tones.end();
  clearTimeout(timer);
  root.dataset.state = 'over';
  if (document.fullscreenElement) document.exitFullscreen().catch(() => {});
  const fields = { started, played: Math.round(player.playedMs(now)), ...place(now) };
  screen('last');
  find('ended').focus({ preventScroll: true });
  if (!records()) { put('recorded', 'Played without recording.'); sessionStorage.removeItem(KEPT); return; }
  put('recorded', 'Recording ...');
  sessionStorage.setItem(KEPT, JSON.stringify({ run, over: true, ...fields }));
  await done(fields);
}

async function done(fields) {
  for (let attempt = 0; ; attempt += 1) {
    try {
      let answer = await post('/follow/done', fields);
      if (answer.status === 404) { await begun(); answer = await post('/follow/done', fields); }
      if (answer.ok) {
        put('recorded', await answer.text());
        sessionStorage.removeItem(KEPT);
        return;
      }
      if (answer.status < 500) { put('recorded', 'This could not be recorded. Load the page again: it is kept until then.'); return; }
    } catch { /* the service is away */ }
    put('recorded', 'The service does not answer. This is kept here and recorded as soon as it is back.');
    await new Promise((go) => { setTimeout(go, Math.min(1000 * 2 ** attempt, 10000)); });
  }
}

function ask() {
  const now = performance.now();
  if (player.playing) { player.pause(now); changed(now); }
  put('so-far', `${clock(player.playedMs(now))} of ${clock(timeline.total)} done.`);
  open('ending');
}

/** Closed again, a dialog gives the focus back to the button that the space bar should press. */
function open(id) {
  find('pause').focus({ preventScroll: true });
  find(id).showModal();
}

// ---- input ----

const on = (id, what) => find(id).addEventListener('click', (event) => {
  what();
  // After a click the space bar is to pause, not to press the same button again.
  if (event.detail > 0 && document.activeElement === event.target) event.target.blur();
});

on('pause', toggle);
on('forth', () => jump('skip'));
on('back', () => jump('back'));
on('end', ask);
on('help', () => open('keys'));
on('end-now', () => { find('ending').close(); const now = performance.now(); player.end(now); finish(now); });
on('end-not', () => { find('ending').close(); toggle(); });
on('keys-close', () => find('keys').close());
find('picture').addEventListener('click', toggle);
find('breath').addEventListener('click', toggle);
find('start').addEventListener('submit', (event) => {
  event.preventDefault();
  const again = event.submitter?.value === 'again';
  begin(run && !again ? startAt : null);
});
find('tones').addEventListener('change', (event) => remember('tones', event.target.checked));
find('moving').addEventListener('change', (event) => { remember('moving', event.target.checked); showBreathing(); });
find('whole').addEventListener('change', (event) => remember('whole', event.target.checked));
find('letters').addEventListener('change', (event) => remember('letters', event.target.checked));
on('sound', () => {
  const to = !tones.on;
  find('tones').checked = to;
  remember('tones', to);
  tones.setOn(to, performance.now());
  put('sound', to ? 'Sound on' : 'Sound off');
});

document.addEventListener('keydown', (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || find('stage').hidden || document.querySelector('dialog[open]')) return;
  const onControl = event.target.closest?.('button, a, input, summary');
  if (event.key === ' ') {
    if (onControl) return;
    event.preventDefault();
    toggle();
    return;
  }
  if (!find('letters').checked) return;
  const does = { n: () => jump('skip'), p: () => jump('back'), q: ask, '?': () => open('keys') }[event.key.toLowerCase()];
  if (does) { event.preventDefault(); does(); }
});

document.addEventListener('visibilitychange', () => {
  if (!document.hidden && player.playing) keepAwake();
  if (document.hidden && player.playing) tones.tick(performance.now());
});
addEventListener('pagehide', () => {
  const now = performance.now();
  if (!run || player.over || player.state === 'waiting') return;
  save(now);
  if (!records()) return;
  navigator.sendBeacon('/follow/at', new URLSearchParams({ form_token: token, run, holder: nonce, ...place(now), take: 0 }));
});
addEventListener('resize', () => { if (!find('stage').hidden && moves()) draw(performance.now()); });
still.addEventListener('change', () => { find('moving').checked = !still.matches; showBreathing(); });

function remember(name, value) { localStorage.setItem(`evenfall-${name}`, value ? '1' : '0'); }
function remembered(name, usual) { const kept = localStorage.getItem(`evenfall-${name}`); return kept === null ? usual : kept === '1'; }

// ---- where to take it up ----

function kept() {
  try { return JSON.parse(sessionStorage.getItem(KEPT)) ?? {}; } catch { return {}; }
}

find('tones').checked = remembered('tones', true);
find('moving').checked = remembered('moving', !still.matches) && !(still.matches && localStorage.getItem('evenfall-moving') === null);
find('whole').checked = remembered('whole', false);
find('letters').checked = remembered('letters', true);
put('sound', find('tones').checked ? 'Sound on' : 'Sound off');
find('begin').disabled = false;

const own = kept();
const startAt = { position: Number(root.dataset.position) || 0, spans: JSON.parse(root.dataset.spans || '[]') };
setInterval(tick, 25);
requestAnimationFrame(frame);
if (own.over && own.run) {
  // It ended while the service was away.
  run = own.run;
  started = own.started;
  screen('last');
  put('recorded', 'Recording ...');
  done({ started, played: own.played, position: own.position, spans: own.spans });
} else if (own.run && own.run === run) {
  // The same tab, loaded again: the place to the second, and on it goes.
  startAt.position = own.position;
  startAt.spans = JSON.parse(own.spans);
  started = own.started;
  if (own.playing) begin(startAt);
}
