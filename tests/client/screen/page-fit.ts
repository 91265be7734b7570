import type { Page } from 'playwright-core';

const STICKING_OUT = `[...document.querySelectorAll('body *')]
  .filter((element) => !element.closest('.wide-table, svg, .skip, .unseen, canvas') && element.getBoundingClientRect().right > innerWidth + 1)
  .map((element) => element.tagName + '.' + element.className)`;

const SMALL_TARGETS = `[...document.querySelectorAll('button, select, input, a, [role=spinbutton]')]
  .filter((element) => element.checkVisibility() && !element.matches('.skip'))
  .map((element) => ({ element, box: (element.closest('label:not(.field)') ?? element).getBoundingClientRect() }))
  .filter(({ element, box }) => box.width > 0 && (box.height < 43.5 || box.width < 43.5) && element.getAttribute('role') !== 'spinbutton')
  .map(({ element, box }) => (element.textContent || element.name) + ' ' + box.width + 'x' + box.height)`;

/** Names of the elements that stick out of the page sideways, tables that scroll in their own frame left out. */
export function stickingOut(page: Page): Promise<string[]> {
  return page.evaluate(STICKING_OUT);
}

/** Controls smaller than 44 px either way. A radio button or a box counts with its label. */
export function smallTargets(page: Page): Promise<string[]> {
  return page.evaluate(SMALL_TARGETS);
}

const OVERLAPPING_TEXT = `(() => {
  const floats = (element) => {
    for (let at = element; at !== null; at = at.parentElement) {
      const { position } = getComputedStyle(at);
      if (position === 'fixed' || position === 'sticky') return true;
    }
    return false;
  };
  const lines = [...document.querySelectorAll('body *')]
    .filter((element) => element.checkVisibility() && !element.closest('svg, canvas, select, .skip, .unseen, .uplot') && !floats(element))
    .flatMap((element) => [...element.childNodes]
      .filter((node) => node.nodeType === Node.TEXT_NODE && node.textContent.trim() !== '')
      .flatMap((node) => {
        const range = document.createRange();
        range.selectNodeContents(node);
        // A line box is higher than its letters.
        return [...range.getClientRects()].map(({ left, right, top, bottom }) => ({ text: node.textContent.trim(), left, right,
          top: top + 0.2 * (bottom - top), bottom: bottom - 0.2 * (bottom - top) }));
      }));
  const found = [];
  for (const [at, one] of lines.entries())
    for (const other of lines.slice(at + 1)) {
      const wide = Math.min(one.right, other.right) - Math.max(one.left, other.left);
      const high = Math.min(one.bottom, other.bottom) - Math.max(one.top, other.top);
      if (wide > 2 && high > 2) found.push(one.text + ' / ' + other.text);
    }
  return found;
})()`;

const CUT_OFF = `[...document.querySelectorAll('button, a, p, td, th, dd, dt, label, legend, h1, h2, h3, span')]
  .filter((element) => element.checkVisibility() && !element.closest('.skip, .unseen, svg') && !element.querySelector('input[type=range]') && getComputedStyle(element).display !== 'inline')
  .filter((element) => element.clientWidth > 0 && element.scrollWidth > element.clientWidth + 1)
  .map((element) => element.tagName + '.' + element.className + ': ' + element.textContent.slice(0, 60))`;

/** Lines of text that lie on each other, each pair as one line. What floats over the page on purpose is left out. */
export function overlappingText(page: Page): Promise<string[]> {
  return page.evaluate(OVERLAPPING_TEXT);
}

/** Words that are wider than the place they have. */
export function cutOff(page: Page): Promise<string[]> {
  return page.evaluate(CUT_OFF);
}
