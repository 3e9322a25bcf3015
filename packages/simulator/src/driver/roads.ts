/** Roads around the invented station, as stretches of speed and grade. */
import type { Stretch } from './script.js'

/** Out of the yard, up to the pass and back: 8 minutes with two full-load climbs. */
export const PASS_ROAD: readonly Stretch[] = [
  { for: 20, speed: 20 },
  { for: 30, speed: 45, grade: 1 },
  { for: 60, speed: 65, grade: 3, bends: 1.2 },
  { for: 75, speed: 75, grade: 7, bends: 1.6 },
  { for: 15, speed: 40, grade: 4, bends: 2.5 },
  { for: 60, speed: 70, grade: 8, bends: 1.8 },
  { for: 12, speed: 0 },
  { for: 70, speed: 60, grade: -6, bends: 2 },
  { for: 20, speed: 35, grade: -4, bends: 2.8 },
  { for: 60, speed: 70, grade: -2, bends: 1 },
  { for: 40, speed: 45, grade: 0, bends: 1 },
  { for: 18, speed: 0 },
]

/** Through the village: stops, part load, no climbs. */
export const VILLAGE_ROAD: readonly Stretch[] = [
  { for: 22, speed: 30, bends: 0.8 },
  { for: 10, speed: 0 },
  { for: 35, speed: 48, grade: 1, bends: 1 },
  { for: 8, speed: 20, bends: 1.5 },
  { for: 30, speed: 45, bends: 0.8 },
  { for: 14, speed: 0 },
]

/** The valley road: steady speed. */
export const VALLEY_ROAD: readonly Stretch[] = [
  { for: 25, speed: 50 },
  { for: 90, speed: 80, grade: 0.5, bends: 0.6 },
  { for: 60, speed: 85, grade: 1.5, bends: 0.6 },
  { for: 45, speed: 78, grade: -1, bends: 0.6 },
  { for: 20, speed: 40 },
  { for: 14, speed: 0 },
]
