/** A page of headings, sentences and tables, as text, HTML or Markdown: the form of comparisons and histories. */
import { POLICY } from '../render/html.js'
import { element, emptyElement, escapeMarkdown, textElement } from '../render/markup.js'
import { STYLE } from '../render/style.js'
import { heading, wrapped } from '../render/text.js'

/** A table; a cell is text. */
export interface PageTable {
  readonly caption: string
  readonly columns: readonly string[]
  readonly rows: readonly (readonly string[])[]
}

/** One part of a page; it is left out where it is empty. */
export interface PagePart {
  readonly heading: string
  readonly sentences: readonly string[]
  readonly table?: PageTable
  /** When and what: evidence, each in its own line. */
  readonly evidence?: readonly (readonly [when: string, text: string])[]
  /** Pictures, as SVG elements: HTML alone shows them. */
  readonly pictures?: readonly { readonly title: string; readonly svg: string }[]
}

/** What is shown. */
export interface Page {
  readonly title: string
  /** The answer, before everything else. */
  readonly lead: readonly string[]
  readonly parts: readonly PagePart[]
}

export type PageForm = 'text' | 'html' | 'md'

/** Characters in a line of text where nobody says. */
const WIDTH = 80

/** The page in one form, with a newline at its end. */
export function renderPage(page: Page, form: PageForm, width: number = WIDTH): string {
  const parts = page.parts.filter(
    ({ sentences, table, evidence = [] }) =>
      sentences.length > 0 || evidence.length > 0 || (table?.rows.length ?? 0) > 0,
  )
  switch (form) {
    case 'html':
      return html({ ...page, parts })
    case 'md':
      return markdown({ ...page, parts })
    case 'text':
      return text({ ...page, parts }, width)
  }
}

function text({ title, lead, parts }: Page, width: number): string {
  const blocks = [
    [title, '', ...lead.flatMap((line) => wrapped(line, '', '', width))],
    ...parts.map(({ heading: name, sentences, table, evidence = [] }) => [
      ...heading(name),
      ...sentences.flatMap((line) => wrapped(line, '  ', '    ', width)),
      ...evidence.flatMap(([when, what]) => wrapped(`${when}: ${what}`, '  + ', '    ', width)),
      ...(table === undefined ? [] : textTable(table, width)),
    ]),
  ]
  return `${blocks.map((lines) => lines.join('\n')).join('\n\n')}\n`
}

/** Columns under one another where they fit in a line; else each row as one sentence. */
function textTable({ caption, columns, rows }: PageTable, width: number): string[] {
  const cells = [columns, ...rows]
  const widths = columns.map((_, i) => Math.max(...cells.map((row) => [...(row[i] ?? '')].length)))
  const total = widths.reduce((sum, wide) => sum + wide + 2, 0)
  if (total > width) {
    const lines = rows.flatMap(([first = '', ...rest]) =>
      wrapped(
        `${first}: ${rest.flatMap((cell, i) => (cell === '' ? [] : [`${columns[i + 1]} ${cell}`])).join('; ')}`,
        '  ',
        '      ',
        width,
      ),
    )
    return [...wrapped(caption, '  ', '  ', width), ...lines]
  }
  const line = (row: readonly string[]): string =>
    `  ${row.map((cell, i) => cell + ' '.repeat((widths[i] as number) - [...cell].length)).join('  ')}`.trimEnd()
  return [...wrapped(caption, '  ', '  ', width), ...cells.map(line)]
}

function markdown({ title, lead, parts }: Page): string {
  const blocks = [
    `# ${escapeMarkdown(title)}`,
    ...lead.map((line) => escapeMarkdown(line)),
    ...parts.flatMap(({ heading: name, sentences, table, evidence = [] }) => [
      `## ${escapeMarkdown(name)}`,
      ...(sentences.length === 0 ? [] : [sentences.map((line) => `- ${escapeMarkdown(line)}`).join('\n')]),
      ...(evidence.length === 0
        ? []
        : [evidence.map(([when, what]) => `- ${escapeMarkdown(`${when}: ${what}`)}`).join('\n')]),
      ...(table === undefined || table.rows.length === 0 ? [] : [escapeMarkdown(table.caption), markdownTable(table)]),
    ]),
  ]
  return `${blocks.join('\n\n')}\n`
}

function markdownTable({ columns, rows }: PageTable): string {
  const line = (cells: readonly string[]): string => `| ${cells.map(escapeMarkdown).join(' | ')} |`
  return [line(columns), line(columns.map(() => '---')).replaceAll('\\', ''), ...rows.map(line)].join('\n')
}

function html({ title, lead, parts }: Page): string {
  const head = [
    '<meta charset="utf-8">',
    emptyElement('meta', { name: 'viewport', content: 'width=device-width, initial-scale=1' }),
    emptyElement('meta', { 'http-equiv': 'Content-Security-Policy', content: POLICY }),
    textElement('title', {}, title),
    `<style>${STYLE}</style>`,
  ]
  const sheet = element(
    'div',
    { class: 'sheet' },
    element('header', {}, textElement('h1', {}, title)),
    element('div', { class: 'verdict' }, ...lead.map((line) => textElement('p', {}, line))),
  )
  const sections = parts.map(({ heading: name, sentences, table, evidence = [], pictures = [] }) =>
    element(
      'section',
      {},
      textElement('h2', {}, name),
      ...sentences.map((line) => textElement('p', {}, line)),
      evidence.length === 0 ? '' : element('ul', { class: 'evidence' }, ...evidence.map(evidenceItem)),
      ...pictures.flatMap(({ title: what, svg }) => [
        textElement('h3', {}, what),
        element('div', { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': what }, svg),
      ]),
      table === undefined || table.rows.length === 0 ? '' : htmlTable(table),
    ),
  )
  return `<!DOCTYPE html>\n<html lang="en">\n<head>${head.join('\n')}</head>\n<body>\n<main>\n${[sheet, ...sections].join('\n')}\n</main>\n</body>\n</html>\n`
}

function evidenceItem([when, what]: readonly [string, string]): string {
  return element(
    'li',
    {},
    textElement('span', { 'aria-hidden': 'true' }, '+'),
    textElement('span', { class: 'when' }, when),
    textElement('span', {}, what),
  )
}

/** Roles are written out because rows become blocks on a narrow screen, where browsers forget the table. */
function htmlTable({ caption, columns, rows }: PageTable): string {
  const heads = columns.map((name) => textElement('th', { scope: 'col', role: 'columnheader' }, name))
  const body = rows.map(([first = '', ...rest]) =>
    element(
      'tr',
      { role: 'row' },
      textElement('th', { scope: 'row', role: 'rowheader' }, first),
      ...rest.map((cell, i) => textElement('td', { role: 'cell', 'data-label': columns[i + 1] }, cell)),
    ),
  )
  return element(
    'table',
    { class: 'stack', role: 'table' },
    textElement('caption', {}, caption),
    element('thead', { role: 'rowgroup' }, element('tr', { role: 'row' }, ...heads)),
    element('tbody', { role: 'rowgroup' }, ...body),
  )
}
