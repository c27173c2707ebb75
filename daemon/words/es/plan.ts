import type { PLAN as EN } from '../en/plan.ts';

/** Plans, cards and their warnings in Spanish, as crews on courses in North America speak it. */
export const PLAN: Readonly<Record<keyof typeof EN, string>> = {
  'stage.germination': 'germinación',
  'stage.emergence': 'emergencia',
  'stage.tillering': 'macollaje',
  'stage.first_mow': 'primer corte',
  'stage.knitting': 'cierre del césped',

  'limit.pump': 'la bomba está al tope',
  'limit.main': 'la línea principal {id} está llena',
  'limit.lateral': 'el lateral {id} está lleno',
  'limit.stations_at_once': 'ya corren todas las estaciones que pueden correr a la vez',
  'limit.start_gap': 'otra válvula abre en ese momento',
  'limit.pump_rise': 'el caudal no puede subir más rápido',
  'limit.pump_rest': 'la bomba tiene que descansar después de parar',
  'limit.allowance': 'ya se gastó el agua permitida del día',
  'limit.season_allowance': 'ya se gastó el agua permitida de la temporada',

  'keep_off.frost': 'helada',
  'keep_off.wind': 'viento sobre el límite',
  'keep_off.permit': 'el permiso',
  'keep_off.label_interval': 'el intervalo de la etiqueta',
  'keep_off.not_seeded': 'aún sin sembrar',
  'keep_off.stopped': 'agua parada por {who} ({why})',

  'keep_off.standing': 'Sin agua {id} ({why}) en {beds}, por {who} desde {since}{soFar}, {end}.',
  'keep_off.so_far': ', {duration} hasta ahora',
  'keep_off.until_ended':
    'hasta que una persona lo termine ({place, select, command {`dewbeat keep-off --end {id} --who NOMBRE`} other {{do_end_keep_off}}})',
  'keep_off.until': 'hasta las {at}',
  'keep_off.until_label': 'hasta las {over}; luego la etiqueta no deja regar hasta las {until}',
  'keep_off.over_label': 'terminó a las {over}; la etiqueta no deja regar hasta las {until}',
  'keep_off.without_water':
    'Sin agua: {beds}{more, plural, =0 {} one {; # área más} other {; # áreas más}}.',
  'bed_left.until_tomorrow': '{bed} aguanta hasta mañana',
  'bed_left.dry_now': '{bed} ya está en su límite seco',
  'bed_left.hours': 'a {bed} le quedan {left}, hasta las {at}',

  'day_call.none': 'el pronóstico como está',
  'day_call.hotter': '{change} más caliente',
  'day_call.cooler': '{change} más fresco',
  'day_call.wind': 'viento x {factor}',
  'day_call.less_sun': '{pct} % menos sol',
  'day_call.more_sun': '{pct} % más sol',

  'reason.kept': 'queda como lo tiene el plan vigente',
  'reason.asked_for': 'una vuelta más, como pidió {who} a las {at}',
  'reason.store_at_reserve': 'la cama de siembra llega a su reserva a las {at}',
  'reason.first_of_day': 'primera agua del día, en la reserva desde la noche',
  'reason.last_of_day': 'última agua del día, para que la cama aguante hasta las {at}',
  'reason.before_keep_off': 'adelantado antes de {what} a las {at}',
  'reason.after_keep_off': 'espera a que termine {what} a las {at}',
  'reason.earlier_for_supply': '{minutes} min antes: {limit}',
  'reason.later_for_supply': '{minutes} min tarde: {limit}',
  'reason.earlier_for_day': '{minutes} min antes, para que los ciclos siguientes lleguen a tiempo',
  'reason.earlier_for_lull': '{minutes} min antes, antes de que el viento pase el límite',
  'reason.earlier_as_before': '{minutes} min antes, donde lo tiene el plan vigente',
  'reason.earlier_to_level': '{minutes} min antes, cuando la bomba tiene menos trabajo',
  'reason.rested_first': 'espera el descanso de {minutes} min después del ciclo anterior',
  'reason.least_cycles':
    'uno de los {cycles} ciclos que una cama de siembra recibe al menos en un día que la seca',
  'reason.rotation_exceeds_store':
    'una vuelta es más de lo que cabe en la cama de siembra: {depth} se drena',
  'reason.for_driest': 'más largo por la mitad más seca, como pidió: {depth} se drena',
  'reason.held_at_cap': 'dosis limitada a {depth} para que no se lave la semilla',
  'reason.night_water': 'agua de noche: {exception}',

  'night.dry_wind': 'el viento sopla toda la noche y vaciaría la cama antes de la mañana',
  'night.first_night': 'la primera noche después de sembrar',
  'night.deep_refill': 'la recarga profunda planeada',

  'cause.rest': 'una dosis no alcanza para el descanso mínimo entre dos ciclos',
  'cause.keep_off': '{what} no deja regar hasta las {at}',
  'cause.before_hours': 'no se puede regar antes de las {at}',
  'cause.day_over': 'no se puede regar después de las {at}',
  'cause.reserve_only': 'solo se toca la reserva, y por eso no se añadió ningún ciclo',
  'cause.no_cycle_helps': 'ningún ciclo más la dejaría menos seca',

  'change.keep_off_later': 'mover {what} {minutes} min más tarde',
  'change.keep_off_earlier': 'mover {what} {minutes} min más temprano',
  'change.first_start_earlier': 'empezar {minutes} min más temprano',
  'change.last_end_later': 'terminar {minutes} min más tarde',
  'change.one_more_station': 'una estación más a la vez',
  'change.larger_allowance': 'un {pct} % más de agua permitida al día',
  'change.stronger_pump': 'una bomba {pct} % más fuerte',
  'remedy.cure': '{cause}; {change} lo resolvería',
  'remedy.help': '{cause}; {change} ahorraría {minutes} min bajo la reserva',

  'wind.question':
    'El viento está sobre el límite de {from} a {to} mientras {beds, plural, one {# área necesita} other {# áreas necesitan}} agua.',
  'wind.answered': '{who} contestó a las {at}: {answer}.',
  'wind.answer': '{words}: {costs}.',
  'wind.answer_planned': '{words}, como está planeado: {costs}.',
  'wind.costs': '{cycles} ciclos, {depth} al viento y al aire, {minutes} min bajo el límite seco',
  'wind.costs_at_most':
    '{cycles} ciclos, {depth} al viento y al aire, cuando mucho {minutes} min bajo el límite seco',
  'wind.run_anyway': 'Regar de todos modos',
  'wind.skip': 'Saltar las horas de viento',
  'wind.shorter_and_oftener': 'Más corto y más seguido',

  'warning.revised':
    '{bed} se seca {by} {direction, select, earlier {antes} other {después}}, a las {after} en vez de las {before}: {changes}.',
  'warning.catch_up': 'Se retoma desde ahora: nada de lo que faltó se riega tarde.',
  'revised.wind': 'viento de {is} en vez de {was}',
  'revised.high': 'máxima de {is} en vez de {was}',
  'revised.rain': 'lluvia de {is} en vez de {was}',
  'revised.store': 'ahora hay {is} guardado en vez de {was}',
  'revised.faster': 'pierde agua más rápido que en el plan anterior',
  'revised.slower': 'pierde agua más despacio que en el plan anterior',

  'warning.bed_held.lifted':
    '{beds} con agua parada por {who} desde las {since} ({why}): al confirmar este plan se suelta.',
  'warning.bed_held.lifted_later':
    '{beds} con agua parada por {who} desde las {since} ({why}): sin agua antes de las {until}; al confirmar este plan se suelta entonces.',
  'warning.bed_held.stands':
    '{beds} con agua parada por {who} desde las {since} ({why}): sin agua en este plan. Para volver a regar, {do_release}.',
  'held.everything': 'Todo',

  'warning.field_fault': '{bed}: {faults}{more, plural, =0 {} other {; y # más}}. Vea {do_ran}.',
  'warning.field_fault.rejected': '{bed}: rechazado, así que no corrió: {times}.',
  'warning.field_fault.unknown':
    '{bed}: nadie sabe si corrió: {times}. Se cuenta como corrido, para que nada corra dos veces; mire el césped.',
  'field_fault.at': '{at} estación {station} {what}',
  'field_fault.elsewhere': 'No es de este sitio',
  'field_fault.missing':
    'debía correr {planned} y nada informa que corrió; se cuenta como no corrido',
  'field_fault.unasked.withdrawn': 'corrió {ran} aunque el agua estaba parada',
  'field_fault.unasked.missed': 'corrió {ran} aunque su hora ya había pasado',
  'field_fault.unasked.nobody': 'corrió {ran} y nadie lo había pedido',
  'field_fault.unasked.more':
    'corrió y nadie lo había pedido; además se informan {more} corridas así que no se cuentan una por una; revise lo que las informa',
  'field_fault.ran_on': 'corrió {ran} en vez de {planned}',
  'field_fault.flow': 'corrió {ran} con {flow} en vez de {nominal}',

  'warning.not_seeded.no_day':
    '{bed}: no se ha dicho el día de siembra, así que no se planea agua. Escriba su día en seeded en la configuración, o water_before_seeding: true.',
  'warning.not_seeded.later':
    '{bed}: se siembra el {day}, así que antes no se planea agua. Para regar antes, escriba water_before_seeding: true en la configuración.',
  'warning.does_not_fit':
    '{bed} está bajo su reserva de {from} a {to}{dryMin, plural, =0 {} other {, # min bajo el límite seco}}: {why}.',
  'warning.rotation_unplaced':
    '{bed}: la vuelta que pidió {who} no encontró lugar en la hora, por el suministro o por horas sin agua.',
  'warning.season_allowance.left':
    'Agua permitida de la temporada, {allowed} desde {since}: {used} usados, {planned} planeados aquí, quedan {left}.',
  'warning.season_allowance.over':
    'Agua permitida de la temporada, {allowed} desde {since}: {used} usados, {planned} planeados aquí, {left} sobre el límite.',
  'warning.night_water':
    'Agua de noche en {beds}: {exception}. Una noche mojada invita enfermedades: véalo antes de confirmar.',
  'warning.deep_refill_missed':
    'La recarga profunda de las {start} {stage, select, over {ya había terminado} other {ya había empezado}} cuando este plan pudo correr, a las {firstRun}: ponga morning.at más temprano para tenerla completa.',
  'warning.drains':
    '{bed}: {drained} de {net} se drena bajo la cama de siembra, porque una vuelta es más de lo que cabe.',
  'warning.stations_differ':
    '{bed}: la estación {most} da a su parte {mostDepth} y la {least} solo {leastDepth}: una vuelta de {most} trae {turnDepth}. Una boquilla más chica o una vuelta más corta ahí lo emparejaría.',
  'warning.long_runs':
    '{bed}: un ciclo toma hasta {rotations} vueltas ({minutes} min) para {depth}, porque una de {rotationS} s trae {rotationDepth} con la tasa de la estación {station}, {rate} por hora. Revise esa tasa.',
  'warning.long_runs.capped':
    '{bed}: un ciclo toma hasta {rotations} vueltas ({minutes} min) para {depth}, porque una de {rotationS} s trae {rotationDepth} con la tasa de la estación {station}, {rate} por hora. Termina en la corrida más larga, {mostMinutes} min. Revise esa tasa, o suba most_run.',
  'warning.day_call': 'Corrección del día por {who}: {call}.',
  'warning.hand_water':
    '{bed} recibió agua a mano hoy: {given}. Cuenta hasta lo que cabía en la cama de siembra.',
  'hand_water.given': '{depth} a las {at} por {who}',
  'plan.worth_looking': 'Vale la pena mirar: {beds}.',
  'plan.worth_looking.bed': '{bed} hacia las {at}',
  'warning.looks.taught':
    '{bed} se apoya en {looks, plural, one {# vistazo} other {# vistazos}}: se cuenta con que {learned} que por su arena sola{aside, plural, =0 {} one {; # apartado por más seco de lo creíble} other {; # apartados por más secos de lo creíble}}.',
  'warning.looks.as_sand':
    '{bed} se apoya en {looks, plural, one {# vistazo} other {# vistazos}}, según los cuales es como dice su arena{aside, plural, =0 {} one {; # apartado por más seco de lo creíble} other {; # apartados por más secos de lo creíble}}.',
  'warning.looks.not_taught':
    '{bed} se apoya en {looks, plural, one {# vistazo} other {# vistazos}}. Su reserva la dijo usted: los vistazos fijan lo que tiene ahora y no enseñan nada más.',
  'warning.runs_assumed':
    'Ningún receptor informa lo que corrió: se supone que {runs, plural, one {# corrida fue} other {# corridas fueron}} como se planeó, la última a las {last}.',
  'warning.slow_patch':
    '{bed} se riega como {ruling}: su parche {patch} está ahí, el resto en {stage}. La parte más joven manda en dosis, profundidad y pérdida.',
  'slow_patch.share': '{patch} ({pct} % del área)',
  'warning.trim': '{bed} se riega al {pct} % de lo calculado: así lo puso {who} ({why}).',
  'warning.weather_stale.fault': 'Sin datos del tiempo de {source}: {fault}.',
  'warning.weather_stale.nothing': 'Sin datos del tiempo de {source}.',
  'warning.weather_stale.old':
    '{source} tiene {age} h (de {at}, más de sus {limit} h): no se toma ni para ahora ni para después.',
  'warning.weather_checked':
    'Revisión del tiempo {rule}: {where}: {what}; {done}{more, plural, =0 {} other {, y # más}}.',
  'warning.weather_carried': 'Sin pronóstico para {hours} h: se usa el tiempo de un día anterior.',
  'warning.weather_usual': 'Sin pronóstico para {hours} h: se usa su día normal del mes.',
  'warning.weather_filled': '{field}: completado para {hours} h, {how}.',
  'field.airTempC': 'Temperatura del aire',
  'field.vapourPressureKPa': 'Humedad',
  'field.windMPerS': 'Viento',
  'field.solarMjPerM2': 'Sol',
  'field.rainMm': 'Lluvia',
  'fill.hours_around': 'entre las horas vecinas',
  'fill.dew_point_at_daily_low': 'punto de rocío tomado como la mínima del día (FAO-56)',
  'fill.lowered_to_saturation': 'sobre la saturación, bajado a ella',
  'fill.usual_wind': '{wind}, el viento usual (FAO-56)',
  'fill.temperature_range': 'por el rango de temperatura del día (Hargreaves, FAO-56)',
  'fill.no_rain': 'se supone sin lluvia',
  'warning.rate_assumed':
    '{assumed} de {stations} estaciones corren con una tasa supuesta: una prueba con vasos lo aclara.',
  'warning.sand_assumed':
    '{assumed} de {beds} áreas usan una arena por defecto, no su informe de laboratorio.',
  'warning.stage_prompt': '{beds}: {ruling}. {prompt} Solo una persona la cambia: {do_stage}.',

  'prompt.window_ahead':
    'La ventana del primer verde aún no llega: antes salen las puntas de raíz.',
  'prompt.window_open':
    'La ventana del primer verde está abierta: busque puntas de raíz y un velo verde.',
  'prompt.window_closed':
    'La ventana del primer verde ya se cerró: si no se ve nada, busque la causa (secas, lavado, profundidad, el lote).',
  'prompt.too_cold': 'La cama sigue muy fría para que nazca algo: ciclos ligeros, sin prisa.',
  'prompt.usual_time':
    'Día {days}: el tiempo usual para {onward} (día {least} a {most} desde la siembra, {basis}). Deciden las señales, no la fecha.',
  'prompt.late':
    'Día {days}: pasado el tiempo usual para {onward} (día {least} a {most} desde la siembra, {basis}). Busque las señales, o lo que detiene al área.',
  'prompt.settling':
    'Cambiada hace menos de {days} días: mírela a la hora más caliente antes del siguiente paso.',
  'prompt.signs_seen':
    'Los vistazos encontraron {signs}: vea si toda el área está lista para {next}.',
  'prompt.hand_over': 'la entrega',
  'prompt.step_to': 'el paso a {stage}',
  'signs.cover': '{pct} % verde',
  'signs.roots': 'raíces de {depth}',
  'basis.first_green': 'primer verde en suelo tibio',
  'basis.assumed': 'supuesto',
  'basis.seeding_to_first_mow': 'de la siembra al primer corte',

  'notice.heat': 'Calor',
  'notice.frost': 'Helada',
  'notice.wind': 'Viento',
  'notice.heavy_rain': 'Lluvia fuerte',
  'notice.pythium_14_hours': 'Tiempo de Pythium, 14 horas húmedas',
  'notice.pythium_9_hours': 'Tiempo de Pythium, 9 horas húmedas',
  'notice.damping_off': 'Tiempo de mal del talluelo',
  'notice.irrigation_salinity': 'Sal en el agua',
  'notice.reclaimed_water': 'Agua reciclada fuera de sus horas',
  'notice.too_little_water': 'Menos agua que pérdida',
  'notice.too_much_water': 'Más agua que pérdida',
  'notice.title': '{title}, {from} a {to}, {beds}',
  'notice.all_beds': 'todas las áreas',
  'notice.tomorrow': '{at} de mañana',
  'notice.yesterday': '{at} de ayer',
  'severity.danger': 'peligro',
  'severity.warn': 'atención',
  'severity.note': 'nota',

  'notice.heat.note': 'El calor de la cama frena las raíces. Mire el área más seguido.',
  'notice.heat.warn':
    'Las plántulas empiezan a sufrir en la corona. Mantenga la superficie mojada en las horas más calientes y mire el área.',
  'notice.heat.danger':
    'La superficie está tan caliente que quema la corona de las plántulas. Seca se calienta más: no deje que se aclare.',
  'notice.frost.warn':
    'Cerca de helada. No riegue mientras baja la temperatura; la superficie puede helarse antes que el aire. No pise pasto blanco.',
  'notice.frost.danger':
    'Helada. Nada de agua sobre lo que pueda helarse. No pise pasto blanco hasta que se deshiele.',
  'notice.wind.note': 'El viento daña el patrón. Busque un lado seco después del ciclo.',
  'notice.wind.warn':
    'El viento rompe el patrón: las orillas quedan secas y el agua se va. Elija: mover a una calma, más corto y más seguido, o regar de todos modos y mojar a mano el lado seco.',
  'notice.heavy_rain.note':
    'Más lluvia de la que cabe en la cama: el resto se drena y se lleva el fertilizante. No compra días sin agua.',
  'notice.heavy_rain.warn':
    'Lluvia fuerte sobre una cama llena puede mover la semilla. Después busque surcos lavados, claros y charcos.',
  'notice.pythium_14_hours.warn':
    'Tiempo de Pythium por la más estricta de dos reglas. Una regla del tiempo, no un diagnóstico: al amanecer busque manchas grasosas y apelmazadas antes de que alguien pise o corte. Deje secar el césped antes de la noche si la etapa lo permite.',
  'notice.pythium_9_hours.note':
    'Tiempo de Pythium por la más temprana de dos reglas. Una regla del tiempo, no un diagnóstico: mire el área al amanecer. Un césped en establecimiento está más mojado de lo que dice la estación.',
  'notice.damping_off.note':
    'Caliente y más mojado de lo que pierde el área: tiempo de mal del talluelo. Una regla del tiempo, no un diagnóstico. Busque plántulas caídas a ras del suelo, y no dé más que la pérdida.',
  'notice.irrigation_salinity.note': 'El agua trae algo de sal. Mida el suelo de vez en cuando.',
  'notice.irrigation_salinity.warn':
    'El agua es más salina de lo que le gusta a la semilla. Los ciclos ligeros dejan la sal arriba: busque orillas blancas y parches lentos, y mida el suelo.',
  'notice.irrigation_salinity.danger':
    'El agua es demasiado salina para plántulas. Use otra fuente o mézclela, y pregunte a un laboratorio.',
  'notice.reclaimed_water.danger':
    'Hay ciclos con agua reciclada fuera de sus horas permitidas. El permiso va antes que el plan: use otra fuente de día, o ponga vigilancia si el permiso lo acepta. Letreros puestos, sin charcos, sin deriva.',
  'notice.too_little_water.warn':
    'El área recibe menos de lo que pierde: la cama se seca antes del siguiente ciclo. Busque que se aclare a la hora más caliente.',
  'notice.too_much_water.note':
    'El área recibe más de lo que pierde: el resto se drena y se lleva el fertilizante.',
  'notice.too_much_water.warn':
    'El área recibe mucho más de lo que pierde: el resto se drena, se lleva el fertilizante y deja la superficie abierta a enfermedades y algas.',

  'rule.heat':
    'Las raíces se frenan desde {rootsHeldBack} (servicios de extensión); la corona sufre desde {crownSuffers} y se quema desde {crownScalds} (de memoria).',
  'rule.frost': 'Sin riego a {limit} o menos y bajando (práctica común).',
  'rule.wind':
    'Patrón muy dañado sobre {hurt}, fuertemente sobre {sharplyHurt} (investigación de riego).',
  'rule.heavy_rain':
    'Una hora sobre {heavy} (lluvia fuerte, de memoria) en una cama sin lugar, o {leaching} más de lo que cabe (supuesto).',
  'rule.pythium_14_hours':
    'De mediodía a mediodía: máxima sobre {highAbove}, luego al menos 14 h con humedad sobre 90 %, mínima sobre {lowAbove} (Nutter, Cole & Schein 1983, Plant Disease 67:1126).',
  'rule.pythium_9_hours':
    'De mediodía a mediodía: máxima sobre {highAbove}, mínima sobre {lowAbove}, al menos 9 h de humedad alta (Kentucky; a Hall 1984 de memoria). Alta se toma como sobre 90 %, un supuesto.',
  'rule.damping_off':
    'Media sobre {warm} con exceso de humedad (IPM de la Universidad de California); exceso es agua y lluvia sobre {excess} de la pérdida (supuesto).',
  'rule.irrigation_salinity':
    'Restricción: ninguna bajo 0.7 dS/m y severa sobre 3.0 dS/m (Ayers & Westcot 1985, FAO-29, de memoria); bajo 1 dS/m para sembrar (práctica común).',
  'rule.reclaimed_water':
    'Agua reciclada solo en horas permitidas, comúnmente de 22:00 a 06:00 salvo vigilancia (reglas estatales); decide el permiso local.',
  'rule.too_little_water':
    'Bajo {little} de la pérdida es muy poca, sobre {much} demasiada, sobre {farTooMuch} muchísima (supuesto, se puede cambiar).',
  'rule.too_much_water':
    'Bajo {little} de la pérdida es muy poca, sobre {much} demasiada, sobre {farTooMuch} muchísima (supuesto, se puede cambiar).',

  'input.said': '{name} {value}',
  'input.mean': 'media',
  'input.warm': 'caliente desde',
  'input.water': 'agua',
  'input.rain': 'lluvia',
  'input.loss': 'pérdida',
  'input.excess': 'exceso desde',
  'input.low': 'mínima',
  'input.limit': 'límite',
  'input.coldHours': 'horas frías',
  'input.peak': 'pico',
  'input.hotHours': 'horas calientes',
  'input.measure': 'medida',
  'input.heaviest': 'la más fuerte',
  'input.room': 'lugar',
  'input.beyondRoom': 'más de lo que cabe',
  'input.high': 'máxima',
  'input.humidHours': 'horas húmedas',
  'input.leastHumidHours': 'mínimo de horas húmedas',
  'input.missingHours': 'horas sin datos',
  'input.cyclesOutside': 'ciclos fuera de hora',
  'input.cycles': 'ciclos',
  'input.class': 'clase',
  'input.comingUp': 'naciendo',
  'input.net': 'neto',
  'input.countedRain': 'lluvia contada',
  'input.percentOfLoss': 'parte de la pérdida',
  'input.strongest': 'el más fuerte',
  'input.hurt': 'daña desde',
  'input.sharplyHurt': 'rompe desde',
  'input.windyHours': 'horas de viento',
  'value.air': 'aire',
  'value.seedbed_surface': 'superficie de la cama',
  'value.none': 'ninguna',
  'value.slight_to_moderate': 'leve a moderada',
  'value.severe': 'severa',
  'value.yes': 'sí',
  'value.no': 'no',

  'card.plan': 'plan {revision}   huella {digest}',
  'card.times': 'horas: {zone}',
  'card.no_sun': 'no hay',
  'card.sun': 'Sale el sol {rise}   Se pone {set}',
  'card.last_start': 'nada empieza después de las {at}',
  'card.weather': 'Tiempo: máxima {high}, mínima {low} ({source})',
  'card.wind': 'Viento hasta {wind}, lluvia {rain}, ET de referencia {et}',
  'card.held': 'SIN CONFIRMAR. Nada de esta tarjeta empieza por sí solo.',
  'card.confirmed': 'CONFIRMADO por {who} a las {at}.',
  'card.confirmed_held': 'CONFIRMADO por {who} a las {at}. Agua parada en: {beds}.',
  'card.partly_held': 'AGUA PARADA EN PARTE por {who} a las {at}. Sin agua en {beds}.',
  'card.why': 'Por qué: {why}',
  'card.no_water': 'SIN AGUA. {who} paró todo a las {at}.',
  'card.until_confirmed': 'Nada empieza hasta que una persona confirme un plan nuevo.',
  'card.missed': 'Se perdieron antes de confirmar y no se reponen: {starts}.',
  'card.no_cycles': 'Sin ciclos.',
  'card.column.start': 'HORA',
  'card.column.bed': 'ÁREA',
  'card.column.stations': 'ESTACIONES',
  'card.column.minutes': 'MIN',
  'card.column.rotations': 'VTA',
  'card.column.net': 'NETO',
  'card.column.ran': 'SÍ',
  'card.column.stage': 'ETAPA',
  'card.column.cycles': 'CICLOS',
  'card.column.loss': 'PÉRDIDA',
  'card.column.percent': '%PÉRD',
  'card.column.dry_at': 'SECA A',
  'card.not_soon': 'no hoy',
  'card.next_day': 'mañana',
  'card.driest_first':
    'Primero la más seca. SECA A: cuando su cama llega al límite seco si no se riega.',
  'card.band': 'Entre paréntesis: entre qué horas nueve veces de diez.',
  'card.spread': 'Cuánto puede errar el tiempo: {spread}.',
  'card.look_out': 'OJO',
  'card.weather_and_water': 'TIEMPO Y AGUA',
  'card.rule': 'Regla: {rule}',
  'card.saw': 'Vio: {saw}',
  'caution.sprinklers':
    'Los aspersores arrancan sin aviso. Primero quite personas, máquinas y cierre fosas.',
  'caution.lightning': 'Rayos: todos fuera del campo hasta 30 minutos después del último trueno.',
  'caution.wiring': 'Cajas y cables: electricista con licencia, corriente cortada y con candado.',
  'caution.injector': 'Inyector: ninguno armado en estos ciclos; antes revise válvulas y seguros.',
  'caution.reclaimed': 'Agua reciclada: horas permitidas, letreros puestos, sin charcos ni deriva.',
  'caution.permits': 'Las restricciones y permisos de agua van antes que esta tarjeta.',
  'caution.frost': 'Helada: nada de agua sobre lo que se hiele; no pise pasto blanco.',
  'caution.disease':
    'Los avisos de enfermedad son reglas del tiempo, no diagnóstico. Mandan etiquetas y normas locales.',
  'caution.last_word': 'La persona en el césped y el paro físico tienen la última palabra.',
};
