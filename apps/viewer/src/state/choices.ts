/** What can be chosen for a device. */

/** Paper by day, dim by night, and black on white for direct sun. */
export const THEMES = ['day', 'night', 'sun'] as const

export type Theme = (typeof THEMES)[number]

/** Units of the bus, or those of a workshop in the United States. */
export const UNIT_CHOICES = ['metric', 'us'] as const

export type UnitChoice = (typeof UNIT_CHOICES)[number]
