/** Short names put together from data. */
import type { NodeInfo, RecordingInfo } from '@firstcrank/feed'

/** What sits at an address. */
export function nodeTitle(info: RecordingInfo, channel: string, sa: number): string {
  const node = info.nodes.find((candidate) => candidate.channel === channel && candidate.sa === sa)
  return node === undefined ? addressText(sa) : titleOf(node)
}

/** What a node is, by its NAME or else by what its address is meant for. */
export function titleOf({ sa, function: own, preferred }: NodeInfo): string {
  // Where both say the same, the address also tells which of several: “Engine 1”, not “Engine”.
  if (own === null || preferred?.replace(/ \d+$/, '') === own) return preferred ?? addressText(sa)
  return own
}

/** An address as people write it. */
export function addressText(sa: number): string {
  return `address ${sa}`
}

/** A name for a file that is one of ours: `five-volt-short.log.gz` → `Five volt short`. */
export function sampleTitle(file: string): string {
  const words = file.replace(/\.log(\.gz)?$/, '').replaceAll('-', ' ')
  return words.charAt(0).toUpperCase() + words.slice(1)
}
