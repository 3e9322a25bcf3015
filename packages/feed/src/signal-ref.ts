/** Which signal is meant, and its name as one string. */
import { MAX_PGN } from '@firstcrank/decoder'
import { z } from 'zod'

/** A name of an interface, as a log writes it. */
export const channelName = z.string().min(1).max(64)
/** A source or destination address. */
export const address = z.int().min(0).max(255)
/** A parameter group number. */
export const groupNumber = z.int().min(0).max(MAX_PGN)
/** Microseconds since the epoch, or since the recording's own zero. */
export const micros = z.number().min(-1e17).max(1e17)

/** One SPN from one source address on one channel; an own definition's SPN may have more than 19 bits. */
export const signalRef = z
  .strictObject({
    channel: channelName,
    sa: address,
    pgn: groupNumber,
    spn: z.int().min(0).max(0xffffff),
    instance: z.int().min(0).max(255).exactOptional().describe('Which of a group’s repeated blocks, from 0'),
    da: address.exactOptional().describe('Destination; where not given, the one with the most messages'),
  })
  .meta({ id: 'SignalRef', description: 'A signal: one SPN of one group from one node on one channel' })

export type SignalRef = z.infer<typeof signalRef>

/** A signal as one string: equal where and only where the signals are. */
export function signalKey(ref: SignalRef): string {
  return `${ref.channel}/${ref.sa}/${ref.pgn}/${ref.spn}/${ref.instance ?? ''}/${ref.da ?? ''}`
}
