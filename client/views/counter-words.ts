/** `lost-samples` is read as 'Lost samples'. */
export function counterWords(name: string): string {
  const words = name.replaceAll('-', ' ');
  return words.charAt(0).toUpperCase() + words.slice(1);
}
