/**
 * Some browsers name a language that is none (`en-US@posix` on a computer without a locale), and the chart's number
 * format throws on it while it is loaded. Has to be imported before the chart.
 */
try {
  new Intl.NumberFormat(navigator.language);
} catch {
  Object.defineProperty(navigator, 'language', { value: 'en-US', configurable: true });
}
