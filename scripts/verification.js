/**
 * Makes docs/verification.md: what the figures of the decoder rest on. Everything in it is taken from
 * the catalogue, from the comments beside the figures, and from the tests of published values.
 */
import { readdirSync, readFileSync } from 'node:fs'
import {
  CONFIDENCES,
  confidenceOf,
  FAULT_TABLES,
  faultNameConfirmed,
  faultNamesOf,
  GROUPS,
  SOURCES,
  signalsOf,
} from '../packages/decoder/dist/catalog/index.js'
import { FMIS } from '../packages/decoder/dist/diagnostics/index.js'

/** @import { Confidence, GroupDefinition, SignalDefinition } from '../packages/decoder/dist/catalog/index.js' */

const root = new URL('../', import.meta.url)
const read = (/** @type {string} */ path) => readFileSync(new URL(path, root), 'utf8')

/** Files of the decoder whose opening comment tells what a layout or a figure rests on. */
const LAYOUTS = [
  'bus/identifier.ts',
  'bus/name.ts',
  'bus/nodes.ts',
  'bus/requests.ts',
  'bus/transport.ts',
  'bus/abort-reasons.ts',
  'bus/frame-bits.ts',
  'signal/status.ts',
  'diagnostics/dtc.ts',
  'diagnostics/lamps.ts',
  'diagnostics/fault-list.ts',
  'diagnostics/clears.ts',
  'diagnostics/freeze-frame.ts',
  'diagnostics/monitors.ts',
  'diagnostics/readiness.ts',
  'diagnostics/identification.ts',
  'catalog/names/acknowledgements.ts',
]

/** Figures of the decoder: file and name. */
const FIGURES = [
  ['bus/transport-limits.ts', 'TRANSPORT_LIMITS'],
  ['bus/transport-limits.ts', 'MARGIN'],
  ['bus/nodes.ts', 'CLAIM_ANSWER_TIME'],
  ['bus/requests.ts', 'ANSWER_TIME'],
  ['bus/load.ts', 'BIT_RATES'],
  ['bus/load.ts', 'BURST_PROOF'],
]

/** @type {Readonly<Record<Confidence, string>>} */
const LEVELS = {
  confirmed: 'confirmed by two or more independent sources',
  'one-source': 'given by one source',
  recordings: 'from memory, agrees with recordings',
  memory: 'from memory',
  own: 'given by the user',
}

/** The whole document. */
export function verification() {
  const parts = [intro(), sources(), groups(), readings(), names(), fmis(), layouts(), figures(), checks(), analysis()]
  return `${parts.join('\n\n')}\n`
}

function intro() {
  const signals = GROUPS.flatMap(signalsOf)
  const levels = CONFIDENCES.filter((level) => level !== 'own')
  const rows = levels.map((level) => [LEVELS[level], signals.filter((signal) => confidenceOf(signal) === level).length])
  const spns = new Set(signals.map(({ spn }) => spn)).size
  return `# What the figures rest on

Made by \`npm run generate\` from the tables and comments of the source; do not edit. How to read a definition's provenance: [catalogue.md](catalogue.md).

The catalogue has ${signals.length} signals (${spns} SPNs) in ${GROUPS.length} parameter groups. Position and scale of a signal are

${table(['', 'signals'], rows)}

A program asks for the same with \`confidenceInWords(signal)\`.`
}

function sources() {
  const rest = new Map(Object.keys(SOURCES).map((id) => [id, 0]))
  for (const { sources: ids } of GROUPS.flatMap(signalsOf)) for (const id of ids) rest.set(id, (rest.get(id) ?? 0) + 1)
  const rows = Object.entries(SOURCES).map(([id, title]) => [`\`${id}\``, title, rest.get(id) || ''])
  return `## Sources

Published ones by neutral titles, and the ones that are none. The last column counts the signals that name the source; the others are for names, trouble codes and diagnostic messages.

${table(['short name', 'title', 'signals'], rows)}`
}

function groups() {
  const rows = [...GROUPS]
    .sort((one, other) => one.pgn - other.pgn)
    .map((group) => [
      group.pgn,
      `${group.acronym}, ${group.name}`,
      ...CONFIDENCES.slice(0, 3).map((level) => countOf(group, level) || ''),
      ranges(signalsOf(group).filter((signal) => confidenceOf(signal) === 'memory')),
      group.sources.map((id) => `\`${id}\``).join(' '),
    ])
  return `## Parameter groups

How many signals of each are confirmed (2+), given by one source (1), agree with recordings (rec.); the SPNs that are from memory alone; who names the group.

${table(['PGN', 'group', '2+', '1', 'rec.', 'SPNs from memory', 'named by'], rows)}`
}

/**
 * @param {GroupDefinition} group
 * @param {Confidence} level
 */
function countOf(group, level) {
  return signalsOf(group).filter((signal) => confidenceOf(signal) === level).length
}

/**
 * SPNs in a row as `1122–1126`, others one by one.
 *
 * @param {readonly SignalDefinition[]} signals
 */
function ranges(signals) {
  /** @type {[number, number][]} */
  const runs = []
  for (const spn of signals.map((signal) => signal.spn).sort((a, b) => a - b)) {
    const last = runs.at(-1)
    if (last && spn === last[1] + 1) last[1] = spn
    else runs.push([spn, spn])
  }
  return runs.map(([first, last]) => (first === last ? `${first}` : `${first}–${last}`)).join(', ')
}

function readings() {
  /** @type {Map<string, string[]>} */
  const told = new Map()
  const tell = (/** @type {string | undefined} */ note, /** @type {string} */ whom) => {
    if (note !== undefined) told.set(note, [...(told.get(note) ?? []), whom])
  }
  for (const group of GROUPS) {
    tell(group.note, `group ${group.acronym}`)
    for (const { spn, note } of signalsOf(group)) tell(note, `${spn}`)
  }
  const lines = [...told].map(([note, whom]) => `- ${whom.join(', ')}: ${note}`)
  return `## Readings taken

Where sources disagree or leave something open, the definition says which reading was taken and why; also what is unusual about a signal. By SPN.

${lines.join('\n')}`
}

function names() {
  const tables = faultNamesOf(FAULT_TABLES)
  const named = [...tables.keys()].filter((spn) => faultNameConfirmed(spn) > 0).length
  const carried = new Set(GROUPS.flatMap(signalsOf).map(({ spn }) => spn))
  const all = new Set([...carried, ...tables.keys()]).size
  return `## Names of faults

${all} SPNs that can appear in a fault have a name: ${carried.size} that a parameter group carries, with its sources, and ${all - carried.size} others, of which ${named} are named by a published source and the rest are from memory.`
}

function fmis() {
  const rows = FMIS.map(({ fmi, meaning, sources: ids, note = '' }) => [
    fmi,
    meaning,
    ids.map((id) => `\`${id}\``).join(' '),
    note,
  ])
  return `## Failure mode identifiers

${table(['FMI', 'meaning', 'sources', ''], rows)}`
}

function layouts() {
  const parts = LAYOUTS.map((path) => `**[${path}](../packages/decoder/src/${path})**: ${firstComment(path)}`)
  return `## Layouts

What messages of the network and of diagnostics are read by, in the words of the source.

${parts.join('\n\n')}`
}

function figures() {
  const parts = FIGURES.map(([path = '', name = '']) => {
    const [comment, value] = figure(path, name)
    return `**[${name}](../packages/decoder/src/${path})**${value}: ${comment}`
  })
  return `## Figures of the network

${parts.join('\n\n')}`
}

function checks() {
  const files = readdirSync(new URL('tests/conformance/', root)).filter((file) => file.endsWith('.test.ts'))
  const lines = files.map((file) => {
    const path = `tests/conformance/${file}`
    return `- [${path}](../${path}): ${paragraphs(read(path))}`
  })
  return `## Check values

Published values that the decoder is tested against, each with its source beside it in the test.

${lines.join('\n')}`
}

function analysis() {
  return `## The analysis

Every limit of a check, with its source: [checks.md](checks.md). What is known of parts, causes and failure modes: [faults.md](faults.md).

How often it is right, judged on simulated runs whose truth is known, in the words of [evaluation.md](evaluation.md), which \`npm run evaluate\` makes with tables by scenario and the errors of phase boundaries:

${results().join('\n')}`
}

/** The results that docs/evaluation.md states. */
function results() {
  const lines = read('docs/evaluation.md').split('\n')
  const found = lines.filter((line) => line.startsWith('**Result:** '))
  if (found.length === 0) throw new Error('docs/evaluation.md has no result')
  return found.map((line) => `- ${line.slice('**Result:** '.length)}`)
}

/**
 * The comment a file of the decoder begins with.
 *
 * @param {string} path
 */
function firstComment(path) {
  return paragraphs(read(`packages/decoder/src/${path}`))
}

/**
 * The first comment in a text, as one paragraph; a table in it is left out.
 *
 * @param {string} text
 */
function paragraphs(text) {
  const comment = /\/\*\*(.*?)\*\//s.exec(text)?.[1]
  if (comment === undefined) throw new Error('no comment')
  const lines = comment.split('\n').map((line) => line.replace(/^\s*\* ?/, '').trim())
  return linkless(lines.filter((line) => line !== '' && !line.startsWith('|')).join(' '))
}

/**
 * A figure's comment and, where it stands on one line, its value.
 *
 * @param {string} path
 * @param {string} name
 */
function figure(path, name) {
  const text = read(`packages/decoder/src/${path}`)
  const found = new RegExp(
    String.raw`\/\*\*((?:(?!\*\/).)*)\*\/\n(?:export )?const ${name}\b[^=\n]* = (.*)\n`,
    's',
  ).exec(text)
  const [, comment, rest] = found ?? []
  if (comment === undefined || rest === undefined) throw new Error(`${path} has no ${name} with a comment`)
  const value = rest.split('\n')[0] ?? ''
  return [paragraphs(`/**${comment}*/`), /[{[(]$/.test(value) ? '' : ` = \`${value}\``]
}

/**
 * Comments link to names of the code; a page has none of these.
 *
 * @param {string} text
 */
function linkless(text) {
  return text.replace(/\{@link ([^}]+)\}/g, '`$1`')
}

/**
 * @param {readonly string[]} head
 * @param {readonly (readonly (string | number)[])[]} rows
 */
function table(head, rows) {
  const line = (/** @type {readonly (string | number)[]} */ cells) => `| ${cells.join(' | ')} |`
  return [line(head), line(head.map(() => '---')), ...rows.map(line)].join('\n')
}
