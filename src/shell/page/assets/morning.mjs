// The body outline: a tap changes the field of the same region, and the other way round. And times that
// follow each other: whoever goes to bed later puts the light out later.

const body = document.querySelector('#body');
const fields = [...document.querySelectorAll('select[data-region]')];

function paint(field) {
  for (const shape of body.querySelectorAll(`[data-region="${field.dataset.region}"]`)) shape.dataset.degree = field.value;
}

if (body) {
  body.removeAttribute('hidden');
  document.querySelector('#tap-words').hidden = false;
  fields.forEach(paint);
  for (const field of fields) field.addEventListener('change', () => paint(field));
  body.addEventListener('click', (event) => {
    const shape = event.target.closest('[data-region]');
    const field = shape && fields.find((one) => one.dataset.region === shape.dataset.region);
    if (!field) return;
    field.value = String((Number(field.value) + 1) % 4);
    paint(field);
  });
  // Soreness below "not at all" asks where.
  for (const choice of document.querySelectorAll('input[name="soreness"]')) {
    choice.addEventListener('change', () => { if (Number(choice.value) < 3) document.querySelector('#where').open = true; });
  }
}

const sinceNoon = (time) => { const [hour, minute] = time.split(':').map(Number); return (hour * 60 + minute + 720) % 1440; };
const follow = (first, then) => {
  const [one, other] = [document.getElementById(first), document.getElementById(then)];
  one?.addEventListener('change', () => { if (one.value && other.value && sinceNoon(one.value) > sinceNoon(other.value)) other.value = one.value; });
};
follow('into_bed', 'lights_out');
follow('woke', 'up');
const wakings = document.getElementById('wakings');
wakings?.addEventListener('change', () => { if (Number(wakings.value) === 0) document.getElementById('awake_for').value = '0'; });
