/** What everyone who holds the card must have read, short enough for its foot. */
export const CARD_CAUTIONS: readonly string[] = [
  'Sprinklers start without notice. Clear people, machines and open pits first.',
  'Lightning: everyone off the field until 30 minutes after the last thunder.',
  'Boxes and wiring: licensed electrician, power locked out.',
  'Injector: none armed during these cycles; check valves and interlocks first.',
  'Reclaimed water: permitted hours, signs up, no ponding, no drift.',
  'Water restrictions and permits come before this card.',
  'Frost: no water on what can freeze; keep off white turf.',
  'Disease notices are weather rules, no diagnosis. Labels and local codes rule.',
  'A person on the turf and the hardware stop have the last word.',
];
