/** Texts of the bus page's part about diagnostic reports; loaded with that page. */
import { plural } from './text.js'

export const diagnosticsText = {
  lead: 'What nodes said in diagnostic messages beside their fault lists, as last sent; freeze frames first.',
  none: 'No node sent a freeze frame, readiness or another diagnostic report. Nodes send most of them only when a diagnostic tool asks for them. This program never asks: it only listens.',
  noFrame: 'No node sent a freeze frame. A node sends one when a diagnostic tool asks for it; this program never asks.',
  toAll: 'to all nodes',
  to: (node: string) => `to ${node}`,
  times: (count: number, first: string, last: string) =>
    count === 1 ? `at ${first}` : `${plural(count, 'time')}, ${first} to ${last}`,
  messages: (dm: number) => `See the messages of DM${dm}`,
  earlier: (count: number) => plural(count, 'earlier content'),
  dropped: (count: number) => `What ${plural(count, 'further message')} said cannot be shown here.`,
  frameOf: (name: string | null, meaning: string | null) =>
    `When this fault came: ${name ?? 'a fault not in the catalogue'}${meaning === null ? '' : `, ${meaning}`}`,
} as const
