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
