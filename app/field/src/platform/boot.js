// What stands on the page before the program does, and how the program takes its place.
//
// A page that was left where a member is looked for, or that is locked, begins with the field of that
// screen: early.js puts it up from what is written down here, before the program is there. What is typed
// into it, and that somebody is at it, goes over to the program's own.

import { later } from './storage.js';

/** Where it is written down; early.js reads it under the same name. */
const LEFT = 'combgate-left';
/** The fields that a screen begins with, which say nothing of anybody while they are empty. */
const FIRST = 'body > .frame :is(#member-search, #pin)';

/** Whether the page began with the PIN. */
let isLocked = false;

/** The first field of the screen, as far as early.js can put it up. */
function look() {
  const field = document.querySelector(FIRST);
  // What stands in it already is the program's to show.
  if (!field || field.value) return null;
  const heading = document.querySelector('main h1');
  const place = heading.querySelector('.hint');
  const block = field.closest('.field');
  const { id, className, type, inputMode } = field;
  return {
    at: id === 'pin' ? null : location.hash,
    language: document.documentElement.lang,
    heading: heading.firstChild.textContent,
    place: place?.textContent ?? '',
    below: block.getBoundingClientRect().top - heading.getBoundingClientRect().bottom,
    label: block.querySelector('label').textContent,
    field: { id, className, type, inputMode },
  };
}

/** Writes down with which field the page begins the next time. */
function remember() {
  const left = look();
  // With a lock it begins with the PIN, wherever it is left.
  if (isLocked && left?.field.id !== 'pin') return;
  // Where nothing can be kept it begins with none.
  try {
    if (left) localStorage.setItem(LEFT, JSON.stringify(left));
    else localStorage.removeItem(LEFT);
  } catch { /* as it is */ }
}

/** Gives what was typed before the program was there, and the focus, to the field that takes its place. */
function handOver(early, field) {
  if (early.value) {
    field.value = early.value;
    field.dispatchEvent(new Event('input', { bubbles: true }));
  }
  if (document.activeElement !== early) return;
  // Before the other is gone: a phone would put its keys away.
  field.focus({ preventScroll: true });
  field.setSelectionRange(early.selectionStart, early.selectionEnd);
}

/** Lets the program's first screen take the place of what stood on the page before it. */
export function takeBootAway() {
  const boot = document.getElementById('boot');
  const early = boot.querySelector('input');
  const field = document.querySelector(FIRST);
  isLocked = field?.id === 'pin';
  try {
    if (early && early.id === field?.id) handOver(early, field);
  } finally {
    boot.remove();
  }
  later(remember);
  addEventListener('hashchange', () => requestAnimationFrame(remember));
  addEventListener('pagehide', remember);
  document.addEventListener('visibilitychange', () => document.hidden && remember());
}
