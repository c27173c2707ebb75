/** What every report and every package says to whoever acts on it. */
export const REPORT_CAUTIONS: readonly string[] = [
  'Sprinklers start without notice: keep people, machines and open pits clear of them.',
  'Lightning: nobody in the field, and 30 minutes after the last thunder.',
  'Electricity at field boxes: a licensed electrician, with the supply locked out.',
  'Backflow and chemigation: hardware interlocks and check valves come first, and local code rules.',
  'Reclaimed water: permitted hours, signs, no ponding, no drift.',
  'Water restrictions and permits come before any plan.',
  'Frost: no water on surfaces that can freeze, and keep off white grass.',
  'Notices of disease are weather rules and no diagnoses; nothing here is advice on chemicals.',
  'Local codes, label directions and licensed practice rule; a person on the turf and hardware stops have the last word.',
];
