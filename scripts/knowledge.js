/**
 * Makes docs/checks.md and docs/faults.md: what the analysis knows, from its own tables. Needs the
 * packages built.
 */
import {
  BUS_CHECKS,
  CHECKS,
  COMPONENTS,
  FAILURE_MODES,
  findCaution,
  HYPOTHESES,
  KINDS,
  LIMITS,
  MANUAL_CHECKS,
  MANUAL_STAGES,
} from '../packages/analysis/dist/index.js'
import { FMIS } from '../packages/decoder/dist/diagnostics/index.js'

/** @import { LimitId } from '../packages/analysis/dist/index.js' */
/** @import { Limit } from '../packages/analysis/dist/index.js' */

/** Cells of a table: nothing in them ends a cell or a line. */
const cell = (/** @type {string} */ text) => text.replaceAll('|', '\\|').replace(/\s+/g, ' ')

/**
 * @param {readonly string[]} heads
 * @param {readonly (readonly string[])[]} rows
 */
function table(heads, rows) {
  const line = (/** @type {readonly string[]} */ cells) => `| ${cells.map(cell).join(' | ')} |`
  return [line(heads), line(heads.map(() => '---')), ...rows.map(line)].join('\n')
}

/** @param {Pick<Limit, 'value' | 'unit' | 'per'>} limit */
function figure({ value, unit, per }) {
  const number = value < 0 ? `−${-value}` : `${value}`
  const shown = unit === 'count' || unit === 'ratio' ? number : `${number} ${unit}`
  return per === undefined ? shown : `${shown} per ${per}`
}

/** @param {readonly LimitId[]} ids */
function limitTable(ids) {
  if (ids.length === 0) return ''
  const rows = ids.map((id) => [LIMITS[id].what, figure(LIMITS[id]), LIMITS[id].source, `\`${id}\``])
  return `\n\n${table(['limit', 'default', 'source', 'name in a profile'], rows)}`
}

const GENERATED = 'Made by `npm run generate` from the tables of `packages/analysis`; do not edit.'

/** docs/checks.md */
export function checksPage() {
  const engine = CHECKS.map(({ id, title, proves, needs, enabling, computes, limits, otherwise, advice }) => {
    const signals = needs.map((spns) => `SPN ${spns.join(' or ')}`).join('; ')
    const rows = [
      ['A pass proves', proves],
      ['Needs', signals === '' ? 'see when it is judged' : signals],
      ['Judged', enabling],
      ['Computed', computes],
      ['Not judged: use instead', otherwise],
      ['On a caution', advice.caution],
      ['On a fail', advice.fail],
    ]
    return `### ${title}\n\n\`${id}\`\n\n${table(['', ''], rows)}${limitTable(limits)}`
  })
  const ids = /** @type {LimitId[]} */ (Object.keys(LIMITS))
  const bus = BUS_CHECKS.map(({ id, title, proves }) => {
    const own = ids.filter((limit) => limit.startsWith(`${id}.`))
    return [
      title,
      `\`${id}\``,
      proves,
      own.map((limit) => `${LIMITS[limit].what}: ${figure(LIMITS[limit])}`).join('; '),
    ]
  })
  const manual = Object.entries(MANUAL_STAGES).map(([stage, title]) => {
    const rows = MANUAL_CHECKS.filter((row) => row.stage === stage)
    return `### ${title}\n\n${rows.map(({ text, tool }) => `- ${text}${tool === null ? '' : ` (${tool})`}`).join('\n')}`
  })
  return `# Checks

${GENERATED} How a report shows them: [formats.md](formats.md#reports).

A check passes, is a caution, fails, or is not judged: then the signal is not on the bus, or the condition for judging never came, and the report says what to use instead. Not judged is never a pass. Every figure is a default; the engine maker's figure, in a [profile](formats.md#engine-profiles), takes its place. Voltages are for a 12 V system and count twice in one of 24 V.

## The engine

${engine.join('\n\n')}

## The bus

${table(['check', 'name', 'a pass proves', 'limits'], bus)}

A silence of all nodes is the recorder's where no node claimed its address anew and none reported that it missed another; it is the bus's where one did, or where error frames were recorded at that time. Where the recorder's own controller had left the bus (bus-off), the hole is the recorder's. Too short for a node to notice, it cannot be told. Error frames are never judged good: recorders write them only when told to. They and the states of the recorder's controller (error-passive, bus-off) tell of the wires, the termination, the bit rate or of nobody acknowledging, never which node is at fault.

## By hand

What no bus shows. Every report has this list, with boxes to tick.

${manual.join('\n\n')}
`
}

/** docs/faults.md */
export function faultsPage() {
  const causes = HYPOTHESES.map(({ id, title, clues, steps, checks, unreported }) => {
    const looked = clues.map(({ pattern, seen, absent, decisive, excludes }) => {
      const notes = [
        seen === 'for' ? 'for it' : seen === 'against' ? 'against it' : '',
        absent === 'for' ? 'its absence for it' : absent === 'against' ? 'its absence against it' : '',
        decisive ? 'decisive' : '',
        excludes ? 'rules it out' : '',
      ].filter((note) => note !== '')
      return `\`${pattern}\` (${notes.join(', ')})`
    })
    const cautions = [...new Set(steps.flatMap((step) => step.cautions))].flatMap(
      (name) => findCaution(name)?.text ?? [],
    )
    const lines = steps.map(({ text, key, tool }) => {
      const state =
        key === 'any'
          ? ''
          : `Key ${key}: `
              .replace('Key on', 'Key on, engine off')
              .replace('Key cranking', 'Cranking')
              .replace('Key running', 'Engine running')
      return `1. ${state}${text}${tool === null ? '' : ` (${tool})`}`
    })
    return [
      `### ${title}`,
      `\`${id}\`${unreported ? '; looked for even where no node reports a fault' : ''}`,
      `Looked for: ${looked.join('; ')}.${checks.length === 0 ? '' : ` Checks it explains: ${checks.map((name) => `\`${name}\``).join(', ')}.`}`,
      lines.join('\n'),
      ...(cautions.length === 0 ? [] : [cautions.map((text) => `> ${text}`).join('\n>\n')]),
    ].join('\n\n')
  })
  const parts = COMPONENTS.map(({ spns, part, kind, about }) => [
    spns.join(', '),
    part,
    kind.replaceAll('-', ' '),
    about,
  ])
  const spns = COMPONENTS.reduce((sum, component) => sum + component.spns.length, 0)
  const modes = FAILURE_MODES.map(({ fmi, proof, contradiction }) => [
    `${fmi}`,
    FMIS[fmi]?.plain ?? '',
    proof,
    contradiction,
  ])
  const kinds = Object.entries(KINDS).map(([kind, { wiring, open, short }]) => [
    kind.replaceAll('-', ' '),
    wiring,
    open.text,
    short.text,
  ])
  return `# Faults and their causes

${GENERATED} The controller's claim is where it starts; what the recording shows for and against it decides how sure a cause is. A part is never replaced first. How a cause is found from these tables: [fault-reasoning.md](fault-reasoning.md).

- **probable**: the evidence points here, and something decisive is among it.
- **possible**: it fits.
- **unsupported**: nothing in the recording shows it but the controller's word.

## Causes of several faults, and of what nobody reports

${causes.join('\n\n')}

## Parts

${COMPONENTS.length} parts under ${spns} SPNs. SPN 2000 to 2253 stand for the node whose source address is the SPN less 2000. All others are reasoned about by the failure mode alone.

${table(['SPN', 'part', 'kind', 'what it is'], parts)}

## Kinds of parts

Figures are typical ones; the maker's win.

${table(['kind', 'wiring', 'unplugged', 'shorted'], kinds)}

## Failure modes

${table(['FMI', 'in plain words', 'what in a recording supports it', 'what speaks against it'], modes)}
`
}
