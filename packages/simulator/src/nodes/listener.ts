/** What every node but the engine watches: that the engine's messages keep coming. */
import type { Monitor } from '../controller/monitor-bank.js'
import { ADDRESS } from './identity.js'

/** What such a node knows. */
export interface ListenerView {
  /** s since it woke. */
  awake: number
  /** s since the engine was heard. */
  silent: number
}

/** s without the engine's messages until a node says so: the gauge is the least patient. */
const PATIENCE: Readonly<Record<number, number>> = {
  [ADDRESS.transmission]: 0.6,
  [ADDRESS.brakes]: 1.5,
  [ADDRESS.body]: 2.5,
}
const GAUGE_PATIENCE = 0.45

/** Messages of the engine are missing: SPN 639, FMI 9. */
export function listenerMonitors(address: number): readonly Monitor<ListenerView>[] {
  const patience = PATIENCE[address] ?? GAUGE_PATIENCE
  return [
    {
      spn: 639,
      fmi: 9,
      lamp: 'amber',
      set: 0.05,
      heal: 4,
      enabled: (view) => view.awake > 2,
      failing: (view) => view.silent > patience,
    },
  ]
}
