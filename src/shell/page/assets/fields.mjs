// Fields that help: a time typed as four digits gets its colon, and a group of round buttons is one stop
// of the Tab key, as the browser has it, told to whoever asks for the order of the stops.

/** 2240, 22.40 and 22:40 as the service reads them, and besides 22, 22 40 and 22h40: what is meant is seen at once. */
export function clockTime(text) {
  const parts = text.match(/^(\d{1,2})[:. h](\d\d)$/) ?? text.match(/^(\d{1,2}?)(\d\d)$/) ?? text.match(/^(\d{1,2})$/);
  return parts ? `${parts[1].padStart(2, '0')}:${parts[2] ?? '00'}` : text;
}

// Before any other listener looks at the value.
for (const field of document.querySelectorAll('input.time')) {
  field.addEventListener('change', () => { field.value = clockTime(field.value); });
  field.addEventListener('focus', () => field.select());
}

const groups = new Map();
for (const button of document.querySelectorAll('input[type="radio"]')) {
  groups.set(button.name, [...groups.get(button.name) ?? [], button]);
}
for (const group of groups.values()) {
  const stop = () => {
    const here = group.find((button) => button.checked) ?? group[0];
    for (const button of group) button.tabIndex = button === here ? 0 : -1;
  };
  stop();
  for (const button of group) button.addEventListener('change', stop);
}
