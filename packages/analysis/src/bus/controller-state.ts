/**
 * The states errors drove the recorder's own controller into. It speaks of its own place on the pair only,
 * and never tells which node is at fault.
 */
import type { ErrorFrame, Recording } from '@firstcrank/decoder'
import type { Span } from '../model.js'

/** A stretch in which the recorder's controller was not fully on the bus. */
export interface ControllerStretch extends Span {
  /** Channel number. */
  readonly channel: number
  /**
   * `bus-off`: it neither sent nor heard. `passive`: 128 errors counted; it still hears, but no longer marks
   * damaged frames for the others. Source: ISO 11898-1 by way of the kernel's header linux/can/error.h.
   */
  readonly state: 'bus-off' | 'passive'
  /** Whether what it sent itself brought it there; else what it received. */
  readonly sending: boolean
  /** Whether its return was recorded; else `to` is the last that is known of it. */
  readonly ended: boolean
}

/**
 * The stretches of one channel, from the error frames that were kept. Bus-off also ends with the first message
 * that was heard again; a passive controller goes on hearing, so only an error frame tells its end.
 */
export function controllerStretches(recording: Recording, channel: number): readonly ControllerStretch[] {
  const found: ControllerStretch[] = []
  let open: ControllerStretch | undefined
  const close = (time: number, ended: boolean): void => {
    if (open !== undefined) found.push({ ...open, to: time, ended })
    open = undefined
  }
  for (const frame of framesOf(recording, channel)) {
    const { time } = frame
    if (open?.state === 'bus-off') {
      const heard = heardAfter(recording, channel, open.from)
      if (heard !== undefined && heard <= time) close(heard, true)
    }
    const state = stateOf(frame)
    if (state === 'sound') close(time, true)
    else if (state !== undefined && state !== open?.state) {
      close(time, true)
      const sending = state === 'bus-off' || frame.controller.includes('tx-passive')
      open = { channel, state, from: time, to: time, sending, ended: false }
    } else if (open !== undefined) open = { ...open, to: time }
  }
  if (open?.state === 'bus-off') {
    const heard = heardAfter(recording, channel, open.from)
    close(heard ?? recording.clock.last ?? open.to, heard !== undefined)
  } else if (open !== undefined) close(open.to, false)
  return found
}

/** The error frames of a channel, as far as they were kept. */
export function framesOf({ errorFrames }: Recording, channel: number): readonly ErrorFrame[] {
  return errorFrames.filter((frame) => frame.channel === channel)
}

/** What an error frame says of the controller: the state it is in, `sound` where it is out of any, undefined where nothing. */
function stateOf({ classes, controller }: ErrorFrame): ControllerStretch['state'] | 'sound' | undefined {
  if (classes.includes('bus-off')) return 'bus-off'
  if (controller.includes('rx-passive') || controller.includes('tx-passive')) return 'passive'
  const isSound = controller.some((state) => state === 'active' || state.endsWith('-warning'))
  return isSound || classes.includes('restarted') ? 'sound' : undefined
}

/** When the first message of a channel behind a time was heard; undefined where none was. */
function heardAfter({ streams }: Recording, channel: number, time: number): number | undefined {
  const times = streams.flatMap((stream) => {
    const row = stream.rowAfter(time)
    return stream.channel === channel && row < stream.count ? [stream.time(row)] : []
  })
  return times.length === 0 ? undefined : Math.min(...times)
}
