/** What was found and what to do about it: steps, findings, faults with their causes, cautions. */
import type { Caution } from '../cautions.js'
import type { Evidence, FaultGroup, Step } from '../model.js'
import type { Finding, NextStep, Report } from '../report.js'
import { KEY_WORDS } from '../step-words.js'
import { row, tableOf } from './html-table.js'
import { element, emptyElement, escapeHtml, textElement } from './markup.js'
import type { Values } from './values.js'
import { checkTitles, faultWords, NOTHING_NEXT, URGENCY_WORDS } from './words.js'

/** Pieces of evidence shown for one statement; JSON holds all. */
const SHOWN = 6

/** What to do, step by step, each with its cautions and its box to tick. */
export function nextSteps({ next: steps, findings, cautions }: Report, values: Values): string {
  if (steps.length === 0) return textElement('p', {}, NOTHING_NEXT)
  const told = new Set<string>()
  let number = 0
  return groupedBy(steps, ({ finding }) => finding)
    .map(([id, group]) => {
      const title = findings.find((finding) => finding.id === id)?.title
      const items = group.map((step) => {
        number++
        const fresh = cautions.filter((candidate) => step.cautions.includes(candidate.id) && !told.has(candidate.id))
        for (const { id: name } of fresh) told.add(name)
        return stepItem(step, number, fresh, values)
      })
      const heading = title === undefined ? '' : textElement('h3', {}, values.sentence(title))
      return `${heading}${element('ol', { class: 'steps' }, ...items)}`
    })
    .join('')
}

function stepItem(step: NextStep, number: number, cautions: readonly Caution[], values: Values): string {
  const id = `step-${number}`
  return element(
    'li',
    {},
    textElement('span', { class: 'number', 'aria-hidden': 'true' }, `${number}`),
    emptyElement('input', { type: 'checkbox', id }),
    element('div', {}, ...cautions.map(caution), element('label', { for: id }, stepWords(step, values))),
  )
}

function stepWords({ key, text, tool }: Step, values: Values): string {
  const condition = KEY_WORDS[key]
  const tag = condition === '' ? '' : `${textElement('span', { class: 'tag' }, condition)} `
  const using = tool === null ? '' : ` ${textElement('span', { class: 'quiet' }, `(${tool})`)}`
  return `${tag}${escapeHtml(values.sentence(text))}${using}`
}

/** A caution as a paragraph. */
export function caution({ level, text }: Caution): string {
  const label = level === 'stop' ? 'Danger' : level === 'warning' ? 'Careful' : 'Note'
  return element(
    'p',
    { class: level === 'stop' ? 'careful stop' : 'careful' },
    textElement('strong', {}, `${label}: `),
    escapeHtml(text),
  )
}

/** One finding. */
export function findingBlock(finding: Finding, report: Report, values: Values): string {
  const { urgency, title, text, faults, checks, kind, evidence, against } = finding
  const lines = [
    ...(faults.length === 0 ? [] : [`Faults: ${faults.map((fault) => faultWords(fault, values)).join('; ')}.`]),
    ...(checks.length === 0 || kind !== 'cause' ? [] : [`Checks that show it: ${checkTitles(report, checks)}.`]),
  ]
  return element(
    'article',
    { class: `finding ${urgency}` },
    element(
      'h3',
      {},
      `${textElement('span', { class: 'tag' }, URGENCY_WORDS[urgency])} `,
      escapeHtml(values.sentence(title)),
    ),
    textElement('p', {}, values.sentence(text)),
    ...lines.map((line) => textElement('p', {}, line)),
    evidenceList([...signed('+', evidence), ...signed('−', against)], values),
  )
}

/** A piece of evidence and whether it speaks for or against. */
interface Signed {
  readonly sign: '+' | '−'
  readonly item: Evidence
}

function signed(sign: Signed['sign'], evidence: readonly Evidence[]): Signed[] {
  return evidence.slice(0, SHOWN).map((item) => ({ sign, item }))
}

function evidenceList(list: readonly Signed[], values: Values): string {
  if (list.length === 0) return ''
  const items = list.map(({ sign, item }) => {
    const meaning = sign === '+' ? 'speaks for it' : 'speaks against it'
    return element(
      'li',
      {},
      textElement('strong', { title: meaning, role: 'img', 'aria-label': meaning }, sign),
      textElement('span', { class: 'when' }, values.span(item)),
      textElement('span', {}, values.sentence(item.text)),
    )
  })
  return element('ul', { class: 'evidence' }, ...items)
}

/** Faults with one root, and its possible causes. */
export function faultGroup({ faults, causes }: FaultGroup, values: Values): string {
  if (faults.length === 0) return ''
  const blocks = faults.map((fault) => {
    const { name, meaning, about, follows, onset, supports, contradicts } = fault
    const after = follows === null ? '' : ` It probably follows from SPN ${follows.spn} FMI ${follows.fmi}.`
    return [
      textElement('h3', {}, `${faultWords(fault, values)}: ${name}`),
      textElement(
        'p',
        {},
        values.sentence(`${meaning} ${about ?? ''} First seen at ${values.time(onset.time)}.${after}`),
      ),
      evidenceList([...signed('+', supports), ...signed('−', contradicts)], values),
    ].join('')
  })
  const rows = causes.map(({ title, confidence, supported, supports, contradicts }, index) => {
    const facts = [...supports.map(({ text }) => `+ ${text}`), ...contradicts.map(({ text }) => `− ${text}`)]
    const items = facts.slice(0, SHOWN).map((text) => textElement('li', {}, values.sentence(text)))
    return row([
      ['th', `${index + 1}. ${title}`, {}],
      ['td', confidence, {}],
      ['td', `${supported.facts} of ${supported.of}`, { class: 'number', 'data-label': 'Facts' }],
      ['td', '', {}, items.length === 0 ? '' : element('ul', { class: 'plain' }, ...items)],
    ])
  })
  const caption = 'What may be behind it, the likeliest first; + speaks for it, − against it'
  return blocks.join('') + tableOf(caption, ['Cause', 'How sure', 'Facts', 'Why'], rows)
}

/** Neighbours with the same key, in their order. */
function groupedBy<T, K>(items: readonly T[], key: (item: T) => K): [K, T[]][] {
  const groups: [K, T[]][] = []
  for (const item of items) {
    const last = groups.at(-1)
    if (last !== undefined && last[0] === key(item)) last[1].push(item)
    else groups.push([key(item), [item]])
  }
  return groups
}
