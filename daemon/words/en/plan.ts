/** Plans, cards and their warnings in English, in the ICU message format; values come with their units. */
export const PLAN = {
  'stage.germination': 'germination',
  'stage.emergence': 'emergence',
  'stage.tillering': 'tillering',
  'stage.first_mow': 'first mow',
  'stage.knitting': 'knitting',

  'limit.pump': 'the pump is full',
  'limit.main': 'main {id} is full',
  'limit.lateral': 'lateral {id} is full',
  'limit.stations_at_once': 'as many stations run as may run at once',
  'limit.start_gap': 'another valve starts in that moment',
  'limit.pump_rise': 'the flow may not rise faster',
  'limit.pump_rest': 'the pump has to rest once it has stopped',
  'limit.allowance': "the day's allowance of water is used up",
  'limit.season_allowance': 'the season allowance of water is used up',

  'keep_off.frost': 'frost',
  'keep_off.wind': 'wind above the limit',
  'keep_off.permit': 'the permit',
  'keep_off.label_interval': "the label's interval",
  'keep_off.not_seeded': 'not seeded yet',
  'keep_off.stopped': 'water stopped by {who} ({why})',

  'keep_off.standing': 'Keep-off {id} ({why}) on {beds} by {who} since {since}{soFar}, {end}.',
  'keep_off.so_far': ', {duration} so far',
  'keep_off.until_ended':
    'until a person ends it ({place, select, command {`dewbeat keep-off --end {id} --who NAME`} other {{do_end_keep_off}}})',
  'keep_off.until': 'until {at}',
  'keep_off.until_label': 'until {over}, then the label keeps water off until {until}',
  'keep_off.over_label': 'over since {over}, the label keeps water off until {until}',
  'keep_off.without_water': 'Without water: {beds}{more, plural, =0 {} other {; # more beds}}.',
  'bed_left.until_tomorrow': '{bed} lasts until tomorrow',
  'bed_left.dry_now': '{bed} is at its dry limit now',
  'bed_left.hours': '{bed} has {left} left, to {at}',

  'day_call.none': 'the forecast as it is',
  'day_call.hotter': '{change} hotter',
  'day_call.cooler': '{change} cooler',
  'day_call.wind': 'wind x {factor}',
  'day_call.less_sun': '{pct} % less sun',
  'day_call.more_sun': '{pct} % more sun',

  'reason.kept': 'stands as the plan in force has it',
  'reason.asked_for': 'a rotation more, as {who} asked at {at}',
  'reason.store_at_reserve': 'seedbed reaches its reserve at {at}',
  'reason.first_of_day': 'first water of the day, at the reserve since the night',
  'reason.last_of_day': 'last water of the day, to carry the seedbed to {at}',
  'reason.before_keep_off': 'moved before {what} at {at}',
  'reason.after_keep_off': 'waits for {what} to end at {at}',
  'reason.earlier_for_supply': '{minutes} min earlier: {limit}',
  'reason.later_for_supply': '{minutes} min late: {limit}',
  'reason.earlier_for_day': '{minutes} min earlier, so that the cycles after it come in time',
  'reason.earlier_for_lull': '{minutes} min earlier, before the wind passes the limit',
  'reason.earlier_as_before': '{minutes} min earlier, where the plan in force has it',
  'reason.earlier_to_level': '{minutes} min earlier, where the pump has less to do',
  'reason.rested_first': 'waits for the rest of {minutes} min after the cycle before',
  'reason.least_cycles':
    'one of the {cycles} cycles that a seedbed gets at least on a day that dries it',
  'reason.rotation_exceeds_store': 'one rotation is more than the seedbed holds: {depth} drains',
  'reason.for_driest': 'longer for the drier half, as you asked: {depth} drains',
  'reason.held_at_cap': 'dose held at {depth} so that no seed is washed',
  'reason.night_water': 'water at night: {exception}',

  'night.dry_wind': 'the wind blows all night and would empty the seedbed before the morning',
  'night.first_night': 'the first night after seeding',
  'night.deep_refill': 'the planned deep refill',

  'cause.rest': 'one dose does not last for the least rest between two cycles',
  'cause.keep_off': '{what} keeps water off until {at}',
  'cause.before_hours': 'water may not start before {at}',
  'cause.day_over': 'water may not run after {at}',
  'cause.reserve_only': 'only the reserve is touched, and no cycle was added for that',
  'cause.no_cycle_helps': 'no cycle more would make it less dry',

  'change.keep_off_later': 'moving {what} {minutes} min later',
  'change.keep_off_earlier': 'moving {what} {minutes} min earlier',
  'change.first_start_earlier': 'a first start {minutes} min earlier',
  'change.last_end_later': 'a last end {minutes} min later',
  'change.one_more_station': 'one more station at once',
  'change.larger_allowance': "a day's allowance {pct} % larger",
  'change.stronger_pump': 'a pump {pct} % stronger',
  'remedy.cure': '{cause}; {change} would end it',
  'remedy.help': "{cause}; {change} would save {minutes} min of the bed's time below its reserve",

  'wind.question':
    'Wind is above the limit from {from} to {to} while {beds, plural, one {# bed needs} other {# beds need}} water.',
  'wind.answered': '{who} answered at {at}: {answer}.',
  'wind.answer': '{words}: {costs}.',
  'wind.answer_planned': '{words}, as planned: {costs}.',
  'wind.costs': '{cycles} cycles, {depth} to wind and air, {minutes} min below the dry limit',
  'wind.costs_at_most':
    '{cycles} cycles, {depth} to wind and air, at most {minutes} min below the dry limit',
  'wind.run_anyway': 'Run anyway',
  'wind.skip': 'Skip the windy hours',
  'wind.shorter_and_oftener': 'Shorter and oftener',

  'warning.revised':
    '{bed} dries {by} {direction, select, earlier {earlier} other {later}}, at {after} instead of {before}: {changes}.',
  'warning.catch_up': 'A catch-up from now on: nothing of what was missed is run late.',
  'revised.wind': 'wind {is} instead of {was}',
  'revised.high': 'high of {is} instead of {was}',
  'revised.rain': 'rain {is} instead of {was}',
  'revised.store': 'now {is} in store instead of {was}',
  'revised.faster': 'it loses water faster than the plan before said',
  'revised.slower': 'it loses water slower than the plan before said',

  'warning.bed_held.lifted':
    '{beds}: water stopped by {who} since {since} ({why}). Your confirm of this plan releases it.',
  'warning.bed_held.lifted_later':
    '{beds}: water stopped by {who} since {since} ({why}). No water before {until}; your confirm of this plan releases it then.',
  'warning.bed_held.stands':
    '{beds}: water stopped by {who} since {since} ({why}). No water in this plan; to water again: {do_release}.',
  'held.everything': 'Everything',

  'warning.field_fault': '{bed}: {faults}{more, plural, =0 {} other {; and # more}}. See {do_ran}.',
  'warning.field_fault.rejected': '{bed}: refused, so not run: {times}.',
  'warning.field_fault.unknown':
    '{bed}: nobody can say whether it ran: {times}. Counted as run, so that nothing runs twice; look at the turf.',
  'field_fault.at': '{at} station {station} {what}',
  'field_fault.elsewhere': 'Not of this site',
  'field_fault.missing': 'was to run {planned} and nothing reports that it did; counted as not run',
  'field_fault.unasked.withdrawn': 'ran {ran} though its water was stopped',
  'field_fault.unasked.missed': 'ran {ran} though its time had passed',
  'field_fault.unasked.nobody': 'ran {ran} and nobody had asked it to',
  'field_fault.unasked.more':
    'ran and nobody had asked it to; with it {more} such runs more are reported than are told one by one; look at what reports them',
  'field_fault.ran_on': 'ran {ran} in place of {planned}',
  'field_fault.flow': 'ran {ran} with {flow} in place of {nominal}',

  'warning.not_seeded.no_day':
    '{bed}: no day of seeding is told, so no water is planned. Write its day as seeded in the config, or water_before_seeding: true.',
  'warning.not_seeded.later':
    '{bed}: is seeded on {day}, so no water is planned before. To water it earlier, write water_before_seeding: true in the config.',
  'warning.does_not_fit':
    '{bed} is below its reserve from {from} to {to}{dryMin, plural, =0 {} other {, # min of it below the dry limit}}: {why}.',
  'warning.rotation_unplaced':
    '{bed}: the rotation that {who} asked for found no place within the hour, for the supply or a keep-off.',
  'warning.season_allowance.left':
    'Season allowance of {allowed} since {since}: {used} used, {planned} planned here, {left} left after it.',
  'warning.season_allowance.over':
    'Season allowance of {allowed} since {since}: {used} used, {planned} planned here, {left} over the limit.',
  'warning.night_water':
    'Water at night on {beds}: {exception}. A wet night invites disease: look at it before you confirm.',
  'warning.deep_refill_missed':
    'The deep refill from {start} {stage, select, over {was over} other {had begun}} when this plan could first run, at {firstRun}: set morning.at to an earlier time to have it whole.',
  'warning.drains':
    '{bed}: {drained} of {net} drains below the seedbed, because one rotation is more than it has room for.',
  'warning.stations_differ':
    '{bed}: station {most} gives its part {mostDepth} and {least} only {leastDepth}: one turn of {most} brings {turnDepth}. A smaller nozzle or a shorter turn there would even it out.',
  'warning.long_runs':
    '{bed}: a cycle takes up to {rotations} rotations ({minutes} min) for {depth}, because one of {rotationS} s brings {rotationDepth} at the rate of station {station}, {rate} an hour. Check that rate.',
  'warning.long_runs.capped':
    '{bed}: a cycle takes up to {rotations} rotations ({minutes} min) for {depth}, because one of {rotationS} s brings {rotationDepth} at the rate of station {station}, {rate} an hour. It ends at the longest run, {mostMinutes} min. Check that rate, or raise most_run.',
  'warning.day_call': 'Day call by {who}: {call}.',
  'warning.hand_water':
    '{bed} had water by hand today: {given}. It counts up to what the seedbed could hold.',
  'hand_water.given': '{depth} at {at} by {who}',
  'plan.worth_looking': 'Worth a look: {beds}.',
  'plan.worth_looking.bed': '{bed} at about {at}',
  'warning.looks.taught':
    '{bed} rests on {looks, plural, one {# look} other {# looks}}: it counts as {learned} than by its sand alone{aside, plural, =0 {} other {; # set aside as drier than could be believed}}.',
  'warning.looks.as_sand':
    '{bed} rests on {looks, plural, one {# look} other {# looks}}, by which it is as its sand says{aside, plural, =0 {} other {; # set aside as drier than could be believed}}.',
  'warning.looks.not_taught':
    '{bed} rests on {looks, plural, one {# look} other {# looks}}. Its store is one that you stated: looks set what it holds now and teach nothing more.',
  'warning.runs_assumed':
    'No receiver reports what ran: {runs, plural, one {# run is} other {# runs are}} assumed to have run as planned, the last at {last}.',
  'warning.slow_patch':
    '{bed} is watered as {ruling}: its patch {patch} stands there, the rest at {stage}. The younger part rules dose, depth and loss.',
  'slow_patch.share': '{patch} ({pct} % of the bed)',
  'warning.trim': '{bed} is watered at {pct} % of what is worked out: {who} set it so ({why}).',
  'warning.weather_stale.fault': 'No weather from {source}: {fault}.',
  'warning.weather_stale.nothing': 'No weather from {source}.',
  'warning.weather_stale.old':
    '{source} is {age} h old (of {at}, over its {limit} h): it is not taken for now or for later.',
  'warning.weather_checked':
    'Weather check {rule}: {where}: {what}; {done}{more, plural, =0 {} other {, and # more}}.',
  'warning.weather_carried': "No forecast for {hours} h: an earlier day's weather stands in.",
  'warning.weather_usual': 'No forecast for {hours} h: your usual day of the month stands in.',
  'warning.weather_filled': '{field} filled for {hours} h: {how}.',
  'field.airTempC': 'Air temperature',
  'field.vapourPressureKPa': 'Humidity',
  'field.windMPerS': 'Wind',
  'field.solarMjPerM2': 'Sun',
  'field.rainMm': 'Rain',
  'fill.hours_around': 'between the hours around it',
  'fill.dew_point_at_daily_low': "dew point taken as the day's lowest temperature (FAO-56)",
  'fill.lowered_to_saturation': 'above saturation, lowered to it',
  'fill.usual_wind': '{wind}, the usual wind (FAO-56)',
  'fill.temperature_range': "from the day's temperature range (Hargreaves, FAO-56)",
  'fill.no_rain': 'no rain assumed',
  'warning.rate_assumed':
    '{assumed} of {stations} stations run on an assumed rate: a catch-can test settles it.',
  'warning.sand_assumed':
    '{assumed} of {beds} beds use a default for their sand, not its lab report.',
  'warning.stage_prompt': '{beds}: {ruling}, {prompt} Only a person moves it: {do_stage}.',

  'prompt.window_ahead': 'The window of the first green is still ahead: root tips come before it.',
  'prompt.window_open':
    'The window of the first green is open: look for root tips and a haze of green.',
  'prompt.window_closed':
    'The window of the first green has closed: when nothing shows, look for the cause (dry spells, wash, depth, the lot).',
  'prompt.too_cold': 'The seedbed stays too cold for anything to come: light cycles, no hurry.',
  'prompt.usual_time':
    'Day {days}: the usual time for {onward} (day {least} to {most} since seeding, {basis}). The signs decide, not the date.',
  'prompt.late':
    'Day {days}: past the usual time for {onward} (day {least} to {most} since seeding, {basis}). Look for the signs, or for what holds the bed back.',
  'prompt.settling':
    'Moved less than {days} days ago: look at the hottest hour before the next step.',
  'prompt.signs_seen': 'Looks have found {signs}: see whether the whole bed is ready for {next}.',
  'prompt.hand_over': 'the hand-over',
  'prompt.step_to': 'the step to {stage}',
  'signs.cover': '{pct} % of it green',
  'signs.roots': 'roots of {depth}',
  'basis.first_green': 'first green in warm soil',
  'basis.assumed': 'assumed',
  'basis.seeding_to_first_mow': 'seeding to first mow',

  'notice.heat': 'Heat',
  'notice.frost': 'Frost',
  'notice.wind': 'Wind',
  'notice.heavy_rain': 'Heavy rain',
  'notice.pythium_14_hours': 'Pythium weather, 14 humid hours',
  'notice.pythium_9_hours': 'Pythium weather, 9 humid hours',
  'notice.damping_off': 'Damping-off weather',
  'notice.irrigation_salinity': 'Salt in the water',
  'notice.reclaimed_water': 'Reclaimed water outside its hours',
  'notice.too_little_water': 'Less water than loss',
  'notice.too_much_water': 'More water than loss',
  'notice.title': '{title}, {from} to {to}, {beds}',
  'notice.all_beds': 'all beds',
  'notice.tomorrow': '{at} tomorrow',
  'notice.yesterday': '{at} yesterday',
  'severity.danger': 'danger',
  'severity.warn': 'warn',
  'severity.note': 'note',

  'notice.heat.note': 'Roots are held back by the heat of the seedbed. Look at the bed more often.',
  'notice.heat.warn':
    'Seedlings begin to suffer at the crown. Keep the surface wet through the hottest hours and look at the bed.',
  'notice.heat.danger':
    'The surface is hot enough to scald seedlings at the crown. A dry surface is hotter still: do not let it lighten.',
  'notice.frost.warn':
    'Near frost. Put no water on while the air falls; the surface may freeze before the air does. Keep off white grass.',
  'notice.frost.danger':
    'Frost. No water on anything that can freeze. Keep off white grass until it has thawed.',
  'notice.wind.note': 'The wind hurts the pattern. Look for a dry side after the cycle.',
  'notice.wind.warn':
    'The wind tears the pattern: edges stay dry and water drifts off the bed. Choose: move into a lull, run shorter and oftener, or run anyway and water the dry side by hand.',
  'notice.heavy_rain.note':
    'More rain than the seedbed can hold: the rest drains and takes feed with it. It does not buy days without water.',
  'notice.heavy_rain.warn':
    'Heavy rain on a full seedbed can move the seed. Look afterwards for wash lanes, bare patches and puddles.',
  'notice.pythium_14_hours.warn':
    'Pythium blight weather by the stricter of two rules. A weather rule, not a diagnosis: look at dawn for greasy, matted spots before anyone walks or mows. Let the turf dry before night where the stage allows it.',
  'notice.pythium_9_hours.note':
    'Pythium blight weather by the earlier of two rules. A weather rule, not a diagnosis: look at the bed at dawn. A grow-in canopy is wetter than the station says.',
  'notice.damping_off.note':
    'Warm, and wetter than the bed loses: damping-off weather. A weather rule, not a diagnosis. Look for seedlings that fall over at the soil line, and give no more than the loss.',
  'notice.irrigation_salinity.note':
    'The water carries some salt. Measure the soil from time to time.',
  'notice.irrigation_salinity.warn':
    'The water is more saline than seed likes. Light cycles leave the salt near the surface: watch for white rims and slow patches, and measure the soil.',
  'notice.irrigation_salinity.danger':
    'The water is too saline for seedlings. Use another source, or blend it, and ask a laboratory.',
  'notice.reclaimed_water.danger':
    'Cycles with reclaimed water lie outside its permitted hours. The permit comes before the plan: use another source by day, or have the place supervised if the permit allows that. Signs up, no ponding, no drift.',
  'notice.too_little_water.warn':
    'The bed gets less than it loses: the seedbed runs dry before the next cycle. Look for lightening at the hottest hour.',
  'notice.too_much_water.note':
    'The bed gets more than it loses: the rest drains and takes feed with it.',
  'notice.too_much_water.warn':
    'The bed gets far more than it loses: the rest drains, takes feed with it and keeps the surface open to disease and algae.',

  'rule.heat':
    'Roots held back from {rootsHeldBack} (extension sources); crown suffers from {crownSuffers} and scalds from {crownScalds} (from memory).',
  'rule.frost': 'No irrigation at or below {limit} and falling (common practice).',
  'rule.wind':
    'Pattern badly hurt above {hurt}, sharply above {sharplyHurt} (irrigation research).',
  'rule.heavy_rain':
    'An hour above {heavy} (heavy rain, from memory) on a seedbed without room for it, or {leaching} beyond its room (assumed).',
  'rule.pythium_14_hours':
    'From noon to noon: high above {highAbove}, then at least 14 h with humidity above 90 %, low above {lowAbove} (Nutter, Cole & Schein 1983, Plant Disease 67:1126).',
  'rule.pythium_9_hours':
    'From noon to noon: high above {highAbove}, low above {lowAbove}, at least 9 h of high humidity (Kentucky; to Hall 1984 from memory). High is taken as above 90 %, an assumption.',
  'rule.damping_off':
    'Mean above {warm} with excess moisture (University of California IPM); excess is water and rain above {excess} of the loss (assumed).',
  'rule.irrigation_salinity':
    'Restriction none below 0.7 dS/m and severe above 3.0 dS/m (Ayers & Westcot 1985, FAO-29, from memory); below 1 dS/m for seeding (common practice).',
  'rule.reclaimed_water':
    'Reclaimed water only within permitted hours, commonly 22:00 to 06:00 unless supervised (state rules); the local permit decides.',
  'rule.too_little_water':
    'Below {little} of the loss is too little, above {much} too much, above {farTooMuch} far too much (assumed, to edit).',
  'rule.too_much_water':
    'Below {little} of the loss is too little, above {much} too much, above {farTooMuch} far too much (assumed, to edit).',

  'input.said': '{name} {value}',
  'input.mean': 'mean',
  'input.warm': 'warm',
  'input.water': 'water',
  'input.rain': 'rain',
  'input.loss': 'loss',
  'input.excess': 'excess',
  'input.low': 'low',
  'input.limit': 'limit',
  'input.coldHours': 'cold hours',
  'input.peak': 'peak',
  'input.hotHours': 'hot hours',
  'input.measure': 'measure',
  'input.heaviest': 'heaviest',
  'input.room': 'room',
  'input.beyondRoom': 'beyond room',
  'input.high': 'high',
  'input.humidHours': 'humid hours',
  'input.leastHumidHours': 'least humid hours',
  'input.missingHours': 'missing hours',
  'input.cyclesOutside': 'cycles outside',
  'input.cycles': 'cycles',
  'input.class': 'class',
  'input.comingUp': 'coming up',
  'input.net': 'net',
  'input.countedRain': 'counted rain',
  'input.percentOfLoss': 'percent of loss',
  'input.strongest': 'strongest',
  'input.hurt': 'hurt',
  'input.sharplyHurt': 'sharply hurt',
  'input.windyHours': 'windy hours',
  'value.air': 'air',
  'value.seedbed_surface': 'seedbed surface',
  'value.none': 'none',
  'value.slight_to_moderate': 'slight to moderate',
  'value.severe': 'severe',
  'value.yes': 'yes',
  'value.no': 'no',

  'card.plan': 'plan {revision}   digest {digest}',
  'card.times': 'times: {zone}',
  'card.no_sun': 'none',
  'card.sun': 'Sunrise {rise}   Sunset {set}',
  'card.last_start': 'nothing starts after {at}',
  'card.weather': 'Weather: high {high}, low {low} ({source})',
  'card.wind': 'Wind to {wind}, rain {rain}, reference ET {et}',
  'card.held': 'HELD: not confirmed. Nothing on this card starts by itself.',
  'card.confirmed': 'CONFIRMED by {who} at {at}.',
  'card.confirmed_held': 'CONFIRMED by {who} at {at}. Water stopped: {beds}.',
  'card.partly_held': 'WATER PARTLY STOPPED by {who} at {at}. No water on {beds}.',
  'card.why': 'Why: {why}',
  'card.no_water': 'NO WATER. All water was stopped by {who} at {at}.',
  'card.until_confirmed': 'Nothing starts until a person confirms a fresh plan.',
  'card.missed': 'Missed before the confirm, not made up for: {starts}.',
  'card.no_cycles': 'No cycles.',
  'card.column.start': 'START',
  'card.column.bed': 'BED',
  'card.column.stations': 'STATIONS',
  'card.column.minutes': 'MIN',
  'card.column.rotations': 'ROT',
  'card.column.net': 'NET',
  'card.column.ran': 'RAN',
  'card.column.stage': 'STAGE',
  'card.column.cycles': 'CYCLES',
  'card.column.loss': 'LOSS',
  'card.column.percent': '%LOSS',
  'card.column.dry_at': 'DRY AT',
  'card.not_soon': 'not soon',
  'card.next_day': 'next day',
  'card.driest_first':
    'Driest first. DRY AT: when its seedbed reaches the dry limit if nothing is watered.',
  'card.band': 'In brackets: between which times that is nine times in ten.',
  'card.spread': 'How far the weather may be off: {spread}.',
  'card.look_out': 'LOOK OUT',
  'card.weather_and_water': 'WEATHER AND WATER',
  'card.rule': 'Rule: {rule}',
  'card.saw': 'Saw: {saw}',
  'caution.sprinklers':
    'Sprinklers start without notice. Clear people, machines and open pits first.',
  'caution.lightning': 'Lightning: everyone off the field until 30 minutes after the last thunder.',
  'caution.wiring': 'Boxes and wiring: licensed electrician, power locked out.',
  'caution.injector':
    'Injector: none armed during these cycles; check valves and interlocks first.',
  'caution.reclaimed': 'Reclaimed water: permitted hours, signs up, no ponding, no drift.',
  'caution.permits': 'Water restrictions and permits come before this card.',
  'caution.frost': 'Frost: no water on what can freeze; keep off white turf.',
  'caution.disease':
    'Disease notices are weather rules, no diagnosis. Labels and local codes rule.',
  'caution.last_word': 'A person on the turf and the hardware stop have the last word.',
} as const;
