/** The nodes of a log, and the groups each sends, for people. */
import { GLOBAL_ADDRESS, type GroupSummary, type NodeSummary, NULL_ADDRESS } from '@firstcrank/decoder'
import type { FaultReport } from './fault-report.js'
import { nameField, nameFunction, nameValue, nodeText, undefinedGroup } from './names.js'
import { type Column, capital, count, plural, table, wrap } from './text.js'
import { secondsText } from './time.js'

/** Node after node, each with its groups; the columns' titles once for all. */
export function nodesText({ summary, start }: FaultReport): string[] {
  const several = summary.channels.length > 1
  const [titles = '', ...rows] = table(
    COLUMNS,
    summary.nodes.flatMap((node) => node.groups.map(groupRow)),
  )
  const lines = summary.nodes.flatMap((node) => {
    const where = several ? `${summary.channels[node.channel]}, ` : ''
    return ['', ...headText(node, where, start), ...rows.splice(0, node.groups.length)]
  })
  return [
    'Nodes and the groups they send (period: median of the intervals; jitter: their standard deviation;',
    'gaps: intervals of more than three periods, holes of the recorder left out). A node is called what its',
    'NAME says, or else what usually has the address.',
    titles,
    ...lines,
  ]
}

function headText(node: NodeSummary, where: string, start: number): string[] {
  const { sa, name, frames, firstTime, lastTime } = node
  const none = sa === NULL_ADDRESS ? 'no address' : sa === GLOBAL_ADDRESS ? 'not a source address' : undefined
  const who = none === undefined ? nodeText(sa, name) : `address ${sa} (${none})`
  const claim = name === null && sa < NULL_ADDRESS ? '; no address claim seen' : ''
  const seen = `${plural(frames, 'frame')}, ${secondsText(firstTime - start)} to ${secondsText(lastTime - start)}`
  return [
    ...wrap(`${where === '' ? capital(who) : where + who}: ${seen}${claim}`),
    ...(name === null ? [] : wrap(nameText(name), '  ')),
    ...node.identifications.flatMap(({ kind, fields }) => {
      const texts = fields.flatMap(({ name: title, status, text }) =>
        status === 'valid' && text ? [`${title} ${text}`] : [],
      )
      return texts.length === 0 ? [] : wrap(`${kind}: ${texts.join(', ').replace(/\p{C}/gu, '\ufffd')}`, '  ')
    }),
  ]
}

function nameText(name: NonNullable<NodeSummary['name']>): string {
  const { manufacturerCode, identityNumber, ecuInstance, functionInstance } = name
  const instances = `function instance ${functionInstance}, ECU instance ${ecuInstance}`
  return `NAME ${nameValue(name)}: ${nameFunction(name)} (${nameField(name)}), manufacturer ${manufacturerCode}, identity ${identityNumber}, ${instances}`
}

const COLUMNS: readonly Column[] = [
  { title: 'PGN', align: 'right' },
  { title: 'group' },
  { title: 'name', most: 46 },
  { title: 'to' },
  { title: 'count', align: 'right' },
  { title: 'period ms', align: 'right' },
  { title: 'jitter ms', align: 'right' },
  { title: 'gaps', align: 'right' },
]

function groupRow({ pgn, da, count: messages, intervals, definition }: GroupSummary): string[] {
  return [
    String(pgn),
    definition?.acronym ?? '-',
    definition?.name ?? undefinedGroup(pgn),
    da === GLOBAL_ADDRESS ? 'all' : String(da),
    count(messages),
    millis(intervals.period),
    millis(intervals.jitter),
    intervals.period === null || isSentAtWill(definition) ? '-' : count(intervals.gaps),
  ]
}

/** Whether a group is sent only when there is reason to: a long interval of it is no gap. */
function isSentAtWill(definition: GroupSummary['definition']): boolean {
  return definition?.period === 'as-needed' || definition?.period === 'on-request' || definition?.period === 'on-change'
}

function millis(micros: number | null): string {
  return micros === null ? '-' : (micros / 1000).toFixed(1)
}
