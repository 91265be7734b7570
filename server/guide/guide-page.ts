import { marked } from 'marked';

/** The guide as one HTML page: no script, no style of its own in it, so that it holds to the content policy. */
export function guidePage(markdown: string): string {
  const renderer = new marked.Renderer();
  renderer.heading = ({ tokens, depth, text }) =>
    `<h${depth} id="${anchorOf(text)}">${renderer.parser.parseInline(tokens)}</h${depth}>\n`;
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Idlewright: guide</title>
<link rel="stylesheet" href="guide.css">
</head>
<body>
<main>
${marked.parse(markdown, { async: false, renderer })}</main>
</body>
</html>
`;
}

/** The address of a heading within the page. */
export function anchorOf(heading: string): string {
  return heading
    .toLowerCase()
    .replace(/[^a-z0-9 -]/g, '')
    .trim()
    .replace(/ +/g, '-');
}
