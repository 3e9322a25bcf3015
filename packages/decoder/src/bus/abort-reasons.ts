/**
 * Why a node aborts a transport connection: the second byte of an abort frame.
 *
 * Sources: 1 to 5 a university lab on multi-frame messages; the Linux kernel's J1939 documentation
 * confirms 1, 2, 4 and 5, a keypad's CAN manual 3. 6 to 8, 10 to 13 and 15: meanings from the kernel's
 * documentation, their numbers from memory. 9, 14, 16 and 250: from memory.
 */
const ABORT_REASONS: Readonly<Record<number, string>> = {
  1: 'already in a session and cannot open another',
  2: 'resources needed for another task',
  3: 'time-out',
  4: 'clearance to send while data was being sent',
  5: 'limit of repeats reached',
  6: 'unexpected data packet',
  7: 'bad sequence number',
  8: 'duplicate sequence number',
  9: 'message longer than 1,785 bytes',
  10: 'unexpected data packet offset',
  11: 'data packet offset for another group',
  12: 'data packet offset for more packets than cleared',
  13: 'bad data packet offset',
  14: 'deprecated reason',
  15: 'clearance to send for another group',
  16: 'clearance to send beyond the message',
  250: 'another reason',
}

/** The meaning of an abort reason in words; for a number the standard does not define, it says so. */
export function abortReason(reason: number): string {
  return ABORT_REASONS[reason] ?? `reason ${reason}, not defined`
}
