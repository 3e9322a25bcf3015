/** Findings about who was there: holes of the recorder, silences of the bus, restarts, missing nodes and messages. */
import type { Period } from '@firstcrank/decoder'
import type { Evidence, Span } from '../model.js'
import { type BusChannel, type BusCheck, type BusContext, counted, countOf, evidenceOf, lasting } from './context.js'
import { type ChannelSilence, longest, OFF_BUS } from './silences.js'
import { gapsOf, type Pulse, type Sender } from './traffic.js'

/** Pieces of evidence shown of one kind; the finding says how many there are. */
const SHOWN = 6
/** Learned and catalogued period this close: the message comes as the standard has it. Source: common practice. */
const NEAR_STANDARD = 0.3
/** A message that stays away longer, in periods, and need not be there, is sent only when it is wanted. Source: our own choice. */
const SENT_AT_WILL = 20

const TERMINATION =
  'Key off, batteries isolated: measure between the two bus wires, 60 Ω is right, 120 Ω is one terminator lost. Move connectors and harness while you watch.'

/** All silences of all channels of some kinds. */
function wholeSilences({ channels }: BusContext, kinds: readonly ChannelSilence['kind'][]): ChannelSilence[] {
  return channels.flatMap(({ silences }) => silences.whole.filter(({ kind }) => kinds.includes(kind)))
}

function total(spans: readonly Span[]): string {
  return lasting({ from: 0, to: spans.reduce((sum, { from, to }) => sum + to - from, 0) })
}

function wasAwake({ channels }: BusContext): boolean {
  return channels.some(({ awake }) => awake.length > 0)
}

/** Whether an engine tells when the key was on. */
function isKeyKnown({ channels }: BusContext): boolean {
  return channels.some(({ keyKnown }) => keyKnown)
}

const UNCERTAIN = ' It may be switched off, or send only when it is wanted: nobody can tell.'

function keyNote(bus: BusContext): string {
  return isKeyKnown(bus) ? '' : ' No engine tells when the key was on: a node that was switched off looks the same.'
}

const NOT_AWAKE = {
  verdict: 'not-judged',
  finding: 'Not judged: nobody sends in a steady rhythm, so a silence cannot be told from rest.',
  advice: 'Record from key-on to key-off with every node connected.',
} as const

export const RECORDER_HOLES: BusCheck = {
  id: 'recorder-holes',
  title: 'Recording without holes',
  proves: 'What happened between key-on and key-off is in the recording.',
  judge: (bus) => {
    const { recording } = bus
    if (!wasAwake(bus)) return NOT_AWAKE
    const holes = wholeSilences(bus, ['recorder'])
    const { malformed } = recording.counts
    const damaged = malformed === 0 ? '' : ` ${counted(malformed, 'line')} could not be read.`
    const unclear = wholeSilences(bus, ['unclear'])
    if (holes.length === 0 && unclear.length > 0) {
      return {
        verdict: 'not-judged',
        finding: `Not judged: the bus or the recorder was silent for ${total(unclear)}; which of them cannot be told.${damaged}`,
        advice: 'Record once more, with a second recorder beside the first: what both miss was the bus.',
      }
    }
    if (holes.length === 0) {
      return { verdict: 'pass', finding: `The recorder missed nothing that shows.${damaged}`, advice: 'Nothing to do.' }
    }
    return {
      verdict: 'not-judged',
      finding: `Not judged for ${total(holes)}: the recorder missed ${counted(holes.length, 'stretch', 'stretches')}. ${reasonsOf(holes)}${damaged}`,
      advice: 'Look at the recorder: its plug, its supply, its storage. What happened in the holes is unknown.',
      evidence: longest(holes, SHOWN).map((hole) =>
        evidenceOf(recording, `Nothing recorded for ${lasting(hole)}`, hole),
      ),
    }
  },
}

/** Why holes are the recorder's. */
function reasonsOf(holes: readonly ChannelSilence[]): string {
  const off = holes.filter(({ why }) => why === OFF_BUS)
  const reasons = [
    ...(off.length < holes.length
      ? ['No node restarted and none missed another, so it was the recorder, not the vehicle.']
      : []),
    ...(off.length > 0 ? [OFF_BUS] : []),
  ]
  return reasons.join(' ')
}

export const BUS_SILENCE: BusCheck = {
  id: 'bus-silence',
  title: 'Bus never silent as a whole',
  proves: 'The pair of wires, its terminators and the common supply held.',
  judge: (bus) => {
    const { recording, limits } = bus
    if (!wasAwake(bus)) return NOT_AWAKE
    const [broken, unclear] = [wholeSilences(bus, ['bus', 'restart']), wholeSilences(bus, ['unclear'])]
    const all = [...broken, ...unclear]
    const common = { measured: countOf(all.length), limits: [limits['bus-silence.none']] }
    if (all.length === 0) {
      return {
        ...common,
        verdict: 'pass',
        finding: 'With the key on, somebody was always heard.',
        advice: 'Nothing to do.',
      }
    }
    const evidence = longest(all, SHOWN).map((silence) =>
      evidenceOf(recording, `Every node silent for ${lasting(silence)}. ${silence.why.replace(/\.$/, '')}`, silence),
    )
    const finding = `Every node fell silent at once ${counted(all.length, 'time')}, ${total(all)} in all.`
    const cautions = ['bus-measuring']
    if (broken.length === 0) {
      return {
        ...common,
        verdict: 'caution',
        finding: `${finding} The bus or the recorder: it cannot be told.`,
        advice: TERMINATION,
        evidence,
        cautions,
      }
    }
    const advice = broken.every(({ kind }) => kind === 'restart')
      ? 'Find what broke the supply of all nodes down: battery terminals, main ground, main fuse, measured as voltage drop under load.'
      : TERMINATION
    return { ...common, verdict: 'fail', finding, advice, evidence, cautions }
  },
}

export const RESTARTS: BusCheck = {
  id: 'controller-reset',
  title: 'No controller restarts',
  proves: 'Every controller kept its supply with the key on.',
  judge: (bus) => {
    const { recording, limits, titles } = bus
    if (!wasAwake(bus)) return NOT_AWAKE
    const restarts = bus.channels.flatMap(({ silences }) => silences.restarts)
    const common = { measured: countOf(restarts.length), limits: [limits['controller-reset.none']] }
    if (restarts.length === 0) {
      return {
        ...common,
        verdict: 'pass',
        finding: 'No node claimed its address anew with the key on.',
        advice: 'Nothing to do.',
      }
    }
    const who = [...new Set(restarts.map(({ sender }) => titles.of(sender.channel, sender.sa)))].join(', ')
    return {
      ...common,
      verdict: 'fail',
      finding: `${counted(restarts.length, 'restart')} with the key on: ${who}.`,
      advice:
        'Measure the voltage drop of its supply and its ground while the same thing happens again, cranking if it came in cranking: at most 0.5 V on the positive side, 0.2 V on the ground side.',
      evidence: restarts
        .slice(0, SHOWN)
        .map((restart) =>
          evidenceOf(
            recording,
            `${titles.of(restart.sender.channel, restart.sender.sa)} silent for ${lasting(restart)}, then claims its address anew`,
            restart,
          ),
        ),
      cautions: ['battery', 'before-cranking'],
    }
  },
}

export const NODES_PRESENT: BusCheck = {
  id: 'expected-nodes',
  title: 'Nodes present and staying',
  proves: 'Who has to be on the bus is there, from key-on to key-off.',
  judge: (bus) => {
    const { recording, titles, expected } = bus
    const heard = new Set(bus.channels.flatMap(({ senders }) => senders.map(({ sa }) => sa)))
    const missing = expected.filter(({ sa }) => !heard.has(sa))
    const gone = bus.channels.flatMap(({ silences }) => silences.gone)
    const lost = [
      ...missing.map(({ sa, name }) => `${name} (address ${sa}) was never heard`),
      ...gone.map(({ sender }) => `${titles.of(sender.channel, sender.sa)} fell silent for good`),
    ]
    if (lost.length > 0) {
      return {
        verdict: missing.length > 0 || isKeyKnown(bus) ? 'fail' : 'caution',
        finding: `${lost.join('; ')}.${gone.length > 0 ? keyNote(bus) : ''}`,
        advice:
          'Check power and ground at that node first, then its branch of the bus. A node without power is as silent as one without a bus.',
        evidence: gone.map((node) =>
          evidenceOf(recording, `${titles.of(node.sender.channel, node.sender.sa)} not heard from here on`, node),
        ),
        cautions: ['key-off-measuring'],
      }
    }
    if (!wasAwake(bus)) return NOT_AWAKE
    const whose =
      expected.length > 0
        ? 'Everybody the profile asks for is'
        : 'Nobody fell silent for good. No profile says who must be'
    return {
      verdict: 'pass',
      finding: `${whose} there; ${counted(heard.size, 'address', 'addresses')} heard.`,
      advice: 'Nothing to do.',
    }
  },
}

/** A node, or one message of it, that did not come for a while. */
interface Missing extends Span {
  readonly periods: number
  readonly text: string
  /**
   * It was due: the whole node, or a message at the standard's own rhythm, while an engine turned. With
   * the engine at rest, a node that was switched off looks the same.
   */
  readonly certain: boolean
}

export const MISSING_MESSAGES: BusCheck = {
  id: 'missing-messages',
  title: 'Every node keeps sending',
  proves: 'No node and no regular message of one dropped out while others went on.',
  judge: (bus) => {
    const { recording, limits } = bus
    if (!wasAwake(bus)) return NOT_AWAKE
    const used = [limits['missing-messages.pass-below'], limits['missing-messages.caution-to']] as const
    const all = bus.channels
      .flatMap((channel) => missingIn(bus, channel, used[0].value))
      .sort((a, b) => b.periods - a.periods)
    const worst = all[0]
    if (worst === undefined) {
      return {
        verdict: 'pass',
        limits: used,
        finding: `No regular message stayed away for ${used[0].value} periods.`,
        advice: 'Nothing to do.',
      }
    }
    const failed = all.some(({ periods, certain }) => certain && periods > used[1].value)
    const evidence: Evidence[] = all.slice(0, SHOWN).map((gap) => evidenceOf(recording, gap.text, gap))
    return {
      verdict: failed ? 'fail' : 'caution',
      measured: countOf(Math.round(worst.periods)),
      limits: used,
      finding: `${counted(all.length, 'gap')}; the longest: ${worst.text}.${failed ? '' : UNCERTAIN}`,
      advice:
        'Power and ground of that node first, then its branch of the bus: move its connectors and watch whether it comes back.',
      evidence,
      cautions: ['key-off-measuring'],
    }
  },
}

function missingIn(bus: BusContext, channel: BusChannel, periods: number): Missing[] {
  const { silences, senders } = channel
  const nodes = silences.silent.map((silence): Missing => {
    const { sender } = silence
    const { period } = sender.pulses[0] as Pulse
    const text = `${bus.titles.of(sender.channel, sender.sa)} silent for ${lasting(silence)} while others went on`
    const { from, to } = silence
    return { from, to, periods: (to - from) / period, text, certain: isTurning(channel, silence) }
  })
  const explained: readonly Span[] = [...silences.whole, ...silences.restarts, ...silences.silent, ...silences.gone]
  const messages = senders.flatMap((sender) =>
    sender.pulses.flatMap((pulse) => {
      const gaps = gapsOf(pulse, periods).filter((gap) => isOpen(gap, explained, channel, sender))
      return missingMessages(bus, channel, sender, pulse, gaps)
    }),
  )
  return [...nodes, ...messages]
}

function missingMessages(
  { recording, titles }: BusContext,
  channel: BusChannel,
  sender: Sender,
  pulse: Pulse,
  gaps: readonly Span[],
): Missing[] {
  const { stream, period } = pulse
  const group = recording.catalogue.find(stream.pgn)
  const certain = isStandardRhythm(pulse, group?.period)
  if (!certain && gaps.some(({ from, to }) => to - from > SENT_AT_WILL * period)) return []
  const name = group === undefined ? `PGN ${stream.pgn}` : `${group.name} (${stream.pgn})`
  return gaps.map((gap) => {
    const count = (gap.to - gap.from) / period
    const text = `${name} from ${titles.of(sender.channel, sender.sa)} away for ${lasting(gap)}, ${count.toFixed(0)} periods`
    return { ...gap, periods: count, text, certain: certain && isTurning(channel, gap) }
  })
}

function isTurning({ turning }: BusChannel, gap: Span): boolean {
  return turning.some(({ from, to }) => from <= gap.from && gap.to <= to)
}

/** Whether a gap lies in the awake time of its node and nothing said before explains it. */
function isOpen(gap: Span, explained: readonly Span[], { awake }: BusChannel, sender: Sender): boolean {
  const within = awake.find(({ from, to }) => from <= gap.from && gap.to <= to)
  if (within === undefined) return false
  const same = (span: Span): boolean => !('sender' in span) || span.sender === sender
  return !explained.some((span) => same(span) && span.from < gap.to && gap.from < span.to)
}

function isStandardRhythm({ period }: Pulse, standard: Period | undefined): boolean {
  return typeof standard === 'number' && Math.abs(period / 1000 - standard) <= NEAR_STANDARD * standard
}
