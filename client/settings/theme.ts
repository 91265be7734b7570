import { effect, signal } from '@preact/signals';
import { storedChoice } from './stored-choice.ts';

export type ThemeChoice = 'system' | 'light' | 'dark';
export const THEME_CHOICES: readonly ThemeChoice[] = ['system', 'light', 'dark'];
export const THEME_WORDS: Readonly<Record<ThemeChoice, string>> = {
  system: 'As the computer',
  light: 'Light, for sun',
  dark: 'Dark',
};

export const themeChoice = storedChoice<ThemeChoice>(
  'theme',
  (text) => THEME_CHOICES.find((choice) => choice === text) ?? 'system',
  (choice) => choice,
);

/** The theme in force. */
export const theme = signal<'light' | 'dark'>('light');

/** Keeps the page and `theme` in step with the choice and with the system. */
export function followTheme(): void {
  const system = matchMedia('(prefers-color-scheme: dark)');
  const apply = () => {
    const choice = themeChoice.value;
    theme.value = choice === 'system' ? (system.matches ? 'dark' : 'light') : choice;
    document.documentElement.dataset.theme = theme.value;
  };
  system.addEventListener('change', apply);
  effect(apply);
}

export function chooseNextTheme(): void {
  themeChoice.value = theme.value === 'light' ? 'dark' : 'light';
}
