/** Text made safe for HTML and for Markdown, and elements put together from parts. */

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
}

/** Text as it may stand in an element or in an attribute's quotes. Control characters become U+FFFD. */
export function escapeHtml(text: string): string {
  return text.replace(/[&<>"']/g, (found) => ENTITIES[found] ?? found).replace(/[^\P{C}\n\t]/gu, '\ufffd')
}

/** What an element may have: undefined attributes are left out. */
export type Attributes = Readonly<Record<string, string | number | undefined>>

/** An element around content that is markup already. */
export function element(name: string, attributes: Attributes, ...content: readonly string[]): string {
  const list = Object.entries(attributes).flatMap(([key, value]) =>
    value === undefined ? [] : [` ${key}="${escapeHtml(String(value))}"`],
  )
  return `<${name}${list.join('')}>${content.join('')}</${name}>`
}

/** An element around text. */
export function textElement(name: string, attributes: Attributes, text: string): string {
  return element(name, attributes, escapeHtml(text))
}

/** An element that has no content, as XML and HTML both read it. */
export function emptyElement(name: string, attributes: Attributes): string {
  return element(name, attributes).replace(/><\/[^>]+>$/, '/>')
}

/** Text in which Markdown sees no markup; line breaks become blanks. */
export function escapeMarkdown(text: string): string {
  return text
    .replace(/\s+/g, ' ')
    .replace(/[^\P{C}]/gu, '\ufffd')
    .replace(/[\\`*_{}[\]<>|#~]/g, '\\$&')
    .replace(/^(\s*)([-+])(?=\s)/, '$1\\$2')
    .replace(/^(\s*\d+)([.)])(?=\s)/, '$1\\$2')
}
