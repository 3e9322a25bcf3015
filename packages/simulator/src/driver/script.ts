/** What the driver does, step by step, as data. Times are seconds; speeds are km/h. */

/** A stretch of road: how long, how fast, how steep, how bent. */
export interface Stretch {
  /** s */
  readonly for: number
  /** km/h the driver aims at. */
  readonly speed: number
  /** Rise per 100; 0 where not given. */
  readonly grade?: number
  /** Sideways acceleration of the bends, m/s², left and right in turn. */
  readonly bends?: number
}

export type Step =
  /** Key on, and hands off. */
  | { readonly do: 'key-on' }
  /** Wait, whatever state the engine is in. */
  | { readonly do: 'wait'; readonly for: number }
  /** Wait until the wait-to-start lamp is out, then a little longer. */
  | { readonly do: 'wait-for-lamp'; readonly pause: number }
  /** Turn the key to start until it runs, at most so long; then rest and try again: three times unless said otherwise. */
  | { readonly do: 'crank'; readonly atMost: number; readonly tries?: number; readonly rest?: number }
  /** Foot off. */
  | { readonly do: 'idle'; readonly for: number }
  /** Pedal slowly down and up again, once. */
  | { readonly do: 'pedal-sweep'; readonly for: number }
  /** Hold an engine speed in neutral. */
  | { readonly do: 'rev'; readonly rpm: number; readonly for: number }
  | { readonly do: 'drive'; readonly road: readonly Stretch[]; readonly repeat?: number }
  /** Brake to a stop and select neutral. */
  | { readonly do: 'park' }
  /** A technician plugs a service tool in and reads the engine's memory; then clears it and reads again. */
  | { readonly do: 'tool'; readonly clear: boolean }
  /** Key off, and wait until everything has gone to sleep. */
  | { readonly do: 'key-off'; readonly wait: number }

export type DriverScript = readonly Step[]
