// What stands unsaved in the other forms of a view outlives the saving of one: it stays in this tab while the
// view is drawn anew, is put in again, and is said to be unsaved.

const KEPT = 'evenfall-unsaved';
const forms = [...document.querySelectorAll('form[data-keep]')];
const fieldsOf = (form) => [...form.elements].filter((field) => field.name && field.type !== 'hidden');
/** Fields of a form that was refused: drawn as they were sent, and yet not saved. */
const refused = new Set();

const valueOf = (field) => (field.type === 'checkbox' ? field.checked : field.value);
function drawnOf(field) {
  if (field.type === 'checkbox') return field.defaultChecked;
  if (field.options) return ([...field.options].find((option) => option.defaultSelected) ?? field.options[0])?.value;
  return field.defaultValue;
}
const edited = (field) => refused.has(field) || valueOf(field) !== drawnOf(field);
const unsavedIn = (form) => fieldsOf(form).filter(edited);

function tell(form) {
  form.querySelector('[data-unsaved]').hidden = unsavedIn(form).length === 0;
}

function putIn(field, value) {
  if (field.type === 'checkbox') field.checked = value; else field.value = value;
  if (!edited(field)) return false;
  for (let around = field.closest('details'); around; around = around.parentElement.closest('details')) around.open = true;
  return true;
}

function bringBack({ sent, edits }) {
  const wasRefused = document.querySelector('#refusals') !== null;
  let found = false;
  for (const form of forms) {
    const kept = edits[form.dataset.keep] ?? {};
    for (const field of fieldsOf(form).filter((one) => one.name in kept)) {
      if (form.dataset.keep !== sent) found = putIn(field, kept[field.name]) || found;
      else if (wasRefused && valueOf(field) === kept[field.name]) refused.add(field);
    }
  }
  document.querySelector('#still-unsaved').hidden = !found;
}

document.addEventListener('submit', (event) => {
  const edits = {};
  for (const form of forms) edits[form.dataset.keep] = Object.fromEntries(unsavedIn(form).map((field) => [field.name, valueOf(field)]));
  sessionStorage.setItem(KEPT, JSON.stringify({ sent: event.target.dataset.keep ?? '', edits }));
});

const kept = sessionStorage.getItem(KEPT);
sessionStorage.removeItem(KEPT);
if (kept) bringBack(JSON.parse(kept));
for (const form of forms) {
  tell(form);
  for (const what of ['input', 'change']) form.addEventListener(what, () => tell(form));
}
