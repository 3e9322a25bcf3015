/** A log in the few facts a list of runs shows. */
import { FAULT_STATES, type LogSummary } from '@firstcrank/decoder'
import { addressName, faultName, functionName } from '@firstcrank/decoder/catalog'
import type { RunSummary } from '@firstcrank/feed'

/** Faults told of. Our own choice. */
const MAX_FAULTS = 50
/** Times from here on count from 1970, as the decoder's reader has it. */
const DATED_FROM = 100_000_000_000_000

/** What a list of runs shows of a log. */
export function summarize(summary: LogSummary): RunSummary {
  const { first, last } = summary.clock
  const channel = (number: number): string => summary.channels[number] ?? `${number}`
  return {
    from: first ?? null,
    to: last ?? null,
    dated: first !== undefined && first >= DATED_FROM,
    channels: [...summary.channels],
    frames: summary.counts.extended,
    malformed: summary.counts.malformed,
    nodes: summary.nodes.map((node) => ({
      channel: channel(node.channel),
      sa: node.sa,
      title:
        (node.name && functionName(node.name.function, node.name.industryGroup, node.name.vehicleSystem)) ||
        addressName(node.sa, node.name?.industryGroup) ||
        `Address ${node.sa}`,
      frames: node.frames,
    })),
    identity: identityOf(summary),
    faults: summary.episodes.slice(0, MAX_FAULTS).map((episode) => ({
      channel: channel(episode.channel),
      sa: episode.sa,
      source: episode.source,
      spn: episode.spn,
      fmi: episode.fmi,
      name: faultName(episode.spn) ?? null,
      firstSeen: episode.firstSeen,
      open: episode.endedBy !== 'cleared',
    })),
    faultCount: activeFaults(summary),
  }
}

/** How many faults were listed as active, each counted once however often it came. */
function activeFaults({ episodes }: LogSummary): number {
  const active = episodes.filter(({ source }) => FAULT_STATES[source] === 'active')
  return new Set(active.map(({ channel, sa, spn, fmi }) => `${channel}/${sa}/${spn}/${fmi}`)).size
}

function identityOf({ nodes }: LogSummary): string | null {
  for (const { identifications } of nodes) {
    for (const { kind, fields } of identifications) {
      const text = kind === 'vehicle' ? fields.find((field) => field.text !== '')?.text : undefined
      if (text !== undefined) return text
    }
  }
  return null
}
