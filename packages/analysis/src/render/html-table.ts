/** Tables of the sheet: a caption, heads of columns and rows, and rows that become blocks on a narrow screen. */
import { type Attributes, element, escapeHtml, textElement } from './markup.js'

/** A cell: its element, its text, its attributes, and markup that stands in place of the text. */
export type Cell = readonly [name: 'th' | 'td', text: string, attributes: Attributes, markup?: string]

/** A row of cells. */
export function row(cells: readonly Cell[]): string {
  const made = cells.map(([name, text, attributes, markup]) =>
    element(
      name,
      { ...(name === 'th' ? { scope: 'row', role: 'rowheader' } : { role: 'cell' }), ...attributes },
      markup ?? escapeHtml(text),
    ),
  )
  return element('tr', { role: 'row' }, ...made)
}

/**
 * A table. Roles are written out because rows become blocks on a narrow screen, where browsers forget the table.
 *
 * @param kind a class of its own, for the widths of its columns
 */
export function tableOf(caption: string, columns: readonly string[], rows: readonly string[], kind = ''): string {
  const heads = columns.map((title) => textElement('th', { scope: 'col', role: 'columnheader' }, title))
  return element(
    'table',
    { class: `stack ${kind}`.trim(), role: 'table' },
    textElement('caption', {}, caption),
    element('thead', { role: 'rowgroup' }, element('tr', { role: 'row' }, ...heads)),
    element('tbody', { role: 'rowgroup' }, ...rows),
  )
}
