import type { GATE as EN } from '../en/gate.ts';

/** What a person does about plans and water, and why it is refused, in Spanish; what needs a person. */
export const GATE: Readonly<Record<keyof typeof EN, string>> = {
  'do.plan':
    '{place, select, page {“Cambiar, {act_replan}”} review {`p`} anywhere {“{act_replan}”} other {`dewbeat plan`}}',
  'do.release':
    '{place, select, page {“Cambiar, {act_release}”} review {`u`} anywhere {“{act_release}”} other {`dewbeat release`}}',
  'do.show':
    '{place, select, page {“Leer el plan más nuevo”} review {`Escape`, la primera pantalla} anywhere {el plan más nuevo} other {`dewbeat show`}}',
  'do.ran':
    '{place, select, page {“Línea del día”} review {`l`} anywhere {la línea del día} other {`dewbeat ran`}}',
  'do.keep_off':
    '{place, select, page {“Cambiar, {act_keep_off}”} review {`k`} anywhere {“{act_keep_off}”} other {`dewbeat keep-off`}}',
  'do.end_keep_off':
    '{place, select, page {“Cambiar, {act_keep_off}, Ya terminó”} review {`e`} anywhere {“{act_end_keep_off}”} other {`dewbeat keep-off --end`}}',
  'do.stage':
    '{place, select, page {“Cambiar, {act_stage}”} review {`s`} anywhere {“{act_stage}”} other {`dewbeat stage`}}',
  'do.water':
    '{place, select, page {“Cambiar, {act_water}”} review {`w`} anywhere {“{act_water}”} other {`dewbeat water`}}',
  'do.who':
    '{place, select, page {“Su nombre”} review {su nombre} anywhere {un nombre} other {`--who`}}',
  'do.tick':
    '{place, select, page {“¿Ya miró?”} review {su número} anywhere {cada una} other {`--caution`}}',
  'do.stop_water':
    '{place, select, page {“Parar el agua”} review {`h`} anywhere {“Parar el agua”} other {`dewbeat stop-water`}}',
  'do.look':
    '{place, select, command {`dewbeat look`} anywhere {una mirada} other {`dewbeat look` en una terminal}}',
  'do.undo_look':
    '{place, select, command {`dewbeat look --undo`} anywhere {su número} other {`dewbeat look --undo` en una terminal}}',
  'do.meter':
    '{place, select, command {`dewbeat meter`} anywhere {“{act_meter}”} other {`dewbeat meter` en una terminal}}',
  'do.correct_meter':
    '{place, select, command {`dewbeat correct --what meter`} anywhere {una corrección} other {`dewbeat correct --what meter` en una terminal}}',

  'confirm_refused.line': 'No confirmado: {why}',
  'confirm_refused.no_plan': 'todavía no hay plan; haga uno con {do_plan}',
  'confirm_refused.name_missing': 'para confirmar hace falta un nombre; dé {do_who}',
  'confirm_refused.digest_too_short':
    'faltan caracteres del huella (recibido {got}); dé los primeros {least} o más, de {do_show}',
  'confirm_refused.revision_outdated':
    'el plan {got} no es el más nuevo: ese es el plan {revision} del {siteDay}, huella {digest}; léalo con {do_show} y confirme ese',
  'confirm_refused.digest_outdated':
    'este huella no es del plan más nuevo (recibido {got}): ese es el plan {revision} del {siteDay}, huella {digest}; léalo con {do_show} y confirme lo que leyó',
  'confirm_refused.plan_altered':
    'el plan {revision} del {siteDay}, huella {digest}, fue alterado en la base de datos después de hecho; averigüe quién escribe en ella y haga un plan nuevo con {do_plan}',
  'confirm_refused.already_confirmed':
    'el plan {revision} del {siteDay} lo confirmó {who} a las {confirmedMs}; nada se envía dos veces',
  'confirm_refused.day_over':
    'el plan era para el {siteDay} y ese día ya pasó; haga uno nuevo con {do_plan}',
  'confirm_refused.site_changed':
    'el sitio cambió desde que se hizo el plan ({changes}); haga uno nuevo con {do_plan}',
  'confirm_refused.held_since':
    '{who} paró el agua a las {stoppedMs} ({why}), después de hecho este plan; haga uno nuevo con {do_release}',
  'confirm_refused.keep_off_since':
    'el plan riega {bed} a las {startMs}, en un sin agua puesto después; vea {do_keep_off} y haga un plan nuevo con {do_plan}',
  'confirm_refused.overtaken':
    'el plan vigente regó {bed} a las {startMs}, después de hecho este; haga uno nuevo con {do_plan}, para que ningún área beba dos veces',
  'confirm_refused.cautions_missing':
    'marque cada precaución (falta {missing}); mire el césped y luego {place, select, command {márquelas con `--caution {all}`} other {marque {do_tick}}}',
  'confirm_caution.turf_clear':
    'No hay personas ni máquinas en el césped; las zanjas están cubiertas.',
  'confirm_caution.no_injector_armed': 'Ningún inyector está armado en estas líneas.',
  'confirm_caution.covers_off': 'Los cobertores están fuera de las áreas que reciben agua.',
  'confirm_caution.weather_stands_in':
    'El plan usa un tiempo supuesto: usted miró el cielo y el día es así.',
  'confirm_command.who': 'SU NOMBRE',
  'confirmed.line': 'Confirmado: plan {revision} del {siteDay} por {who}.',
  'confirmed.missed': 'perdido, no se recupera: {at} {bed} estación {station}',

  'altered.confirmed_row':
    'el plan {revision} del {siteDay} no es el que se confirmó: su fila no coincide con su huella',
  'altered.not_in_log': 'la confirmación del plan {revision} del {siteDay} no está en el registro',
  'altered.cautions_lacking':
    'a la confirmación del plan {revision} del {siteDay} le falta {missing}',
  'altered.waiting_row': 'plan {revision} del {siteDay}: su fila no coincide con su huella',
  'altered.confirm_gone': 'su confirmación no está en los datos guardados',
  'altered.no_confirm': 'no nombra ninguna confirmación',
  'nothing_stands.held': 'toda el agua está parada',
  'site_change.not_told': 'el plan no dice para qué estaciones se hizo',
  'site_change.other_site': 'el sitio ahora es {now}, el plan es para {before}',
  'site_change.zone': 'la zona horaria ahora es {now}, era {before}',
  'site_change.bed_gone': 'el área {bed} ya no está',
  'site_change.bed_new': 'el área {bed} es nueva',
  'site_change.station_gone': 'la estación {station} ya no está',
  'site_change.station_new': 'la estación {station} es nueva',
  'site_change.station_moved': 'la estación {station} ahora riega {now}, regaba {before}',
  'site_change.figures': 'la estación {station} {figures}',
  'site_change.figure': 'ahora tiene {now}, tenía {before}',
  'site_change.slightly': 'ahora tiene {now}, un poco distinto que antes',
  'site_change.rotation': 'una vuelta de {s} s',
  'site_change.and': ' y ',
  'site_change.more': 'y {more} más',

  'stop.done': 'Agua parada: {beds, select, all {todo} other {{beds}}}.',
  'stop.not_stopped':
    'NO PARADA en {outputs}: cierre las válvulas a mano. Se pidió parar: {beds, select, all {todo} other {{beds}}}.',
  'stop.output_stopped': '{output}: parada, {detail}',
  'stop.output_not_stopped': '{output}: NO PARADA, {detail}; cierre sus válvulas a mano',
  'stop.unwritten':
    'NO ESCRITO: no se pudo guardar (recibido {why}); {reached, select, stopped {el agua está parada, pero} other {NO TODAS LAS SALIDAS LO TOMARON, y}} {keeper, select, daemon {solo este programa lo recuerda y sigue intentando escribirlo: arregle el disco antes de pararlo} other {nada lo recuerda: arregle el disco y pare el agua otra vez antes de confirmar algo}}.',
  'stop.not_now':
    'NO PARADA: el programa está releyendo su configuración; pare el agua otra vez, o cierre las válvulas a mano.',
  'stop.store_silent': 'aún no hay respuesta de los datos guardados',
  'stop.of_the_others': 'De las otras: {what}.',
  'stop_request.no_json': 'no es JSON; envíe {example}',
  'stop_request.no_map': 'no es un mapa; envíe {example}',
  'stop_request.no_beds': 'beds: falta; nombre las áreas, o escriba all',
  'stop_request.no_reason': 'sin razón dada',
  someone: 'alguien',
  'someone.at_page': 'alguien en la página',
  'someone.at_address': 'alguien en {address}',
  'someone.not_signed_in': '{name} (sin iniciar sesión, {address})',
  'someone.at_command_line': 'alguien en la terminal',
  'outputs.none': 'No hay ninguna salida configurada: no se envía nada a ningún lado.',
  'outputs.on_its_way': 'Ningún receptor lo tiene todavía: ahora va a {outputs}.',
  'order.accepted': '{output}: {answer}{detail}',
  'order.not_taken': '{output}: NO TOMADO, el receptor no lo tiene ({answer}{detail})',
  'order.not_taken_yet':
    '{output}: NO TOMADO, que se sepa el receptor aún no lo tiene ({answer}{detail})',

  'corrected.what':
    '{what}{subject, select, none {} other {, {subject}}}, {at}: {was}, correcto {right}; {why}',
  'corrected.ran': 'corrida',
  'corrected.water': 'riego a mano',
  'corrected.meter': 'medidor',
  'corrected.nothing': 'no había nada anotado',
  'corrected.recorded': 'anotado {value}',
  'corrected.done': 'Corregido: {what}.',
  'corrected.next':
    'Los reportes muestran los dos. Los planes no lo miran: anote con {do_water} el agua que un plan debe contar.',
  'refused.beds_missing': 'falta; nombre las áreas, o escriba all',
  'refused.no_such_look': 'no hay esa mirada (recibido {got}); vea sus números en la lista',
  'refused.look_undone': 'ya se retiró (recibido {got}, por {who})',
  'refused.not_been_yet': 'está en el futuro (recibido {got}); solo se corrige lo que ya fue',
  'refused.no_such_station': 'no hay esa estación (recibido {got}); vea {do_ran}',
  'refused.no_water_then':
    'no hay riego a mano en {subject} a esa hora (recibido {got}); vea la tabla del reporte, o anótelo con {do_water}',
  'refused.no_reading_then':
    'no hay lectura del medidor a esa hora (recibido {got}); {do_meter} las lista',

  no_weather:
    '{source}: no hay tiempo ni un día anterior que lo reemplace (recibidas {hours} horas); escriba un pronóstico para hoy, o arregle la fuente',
  'no_weather.from':
    '{source}: no hay tiempo desde {from} ni un día anterior que lo reemplace (recibidas {hours} horas); escriba un pronóstico para hoy, o arregle la fuente',
  'not_reckoned.newer_asked':
    'página: a su nombre se pidió algo más nuevo que tomó su lugar; mire eso',
  'not_reckoned.too_busy':
    'programa: hay demasiado por calcular (recibido {count}); intente en un minuto',
  'not_reckoned.too_many_changes':
    'programa: demasiados cambios esperan su plan (recibido {count}); de este no se hizo nada, intente en un minuto',
  'not_reckoned.stopping':
    'programa: se para, o arranca con otra configuración; intente en un momento',
  'not_reckoned.broken_off': 'programa: el cálculo se cortó (recibido {how}); intente otra vez',
  'not_reckoned.too_long':
    'programa: el cálculo tardó demasiado (nada en {s} s) y se dejó; intente otra vez',
  'page_refused.problems':
    '{problems}{more, plural, =0 {} other {\ny # más; arregle estos primero}}',
  'page_refused.fault': 'página: algo falló en el programa; su registro dice qué',
  'page_refused.nothing_there': 'página: no hay nada en esta ruta',
  'page_refused.unknown_host':
    'página: no se llega con este nombre; use la dirección de esta máquina, o agregue el nombre a page.hosts en la configuración',
  'page_refused.unknown_proxy':
    'página: se llega por un proxy que la configuración no nombra (recibido el encabezado {header}); agregue su dirección a page.proxies, o llegue sin él',
  'page_refused.foreign':
    'página: solo toma acciones de su propia página; envíe el encabezado {header}, del mismo origen',
  'page_refused.sign_in': 'página: ¿quién es usted? Inicie sesión con su nombre y PIN',
  'page_refused.no_name': 'who: falta; dé su nombre',
  'page_refused.watcher':
    '{name}: puede mirar y parar el agua; pida a un encargado que cambie o confirme',
  'page_refused.too_large': 'página: la solicitud pasa de {bytes} bytes',
  'page_refused.stops_only': 'aquí se para el agua, y nada más',
  'page_refused.starting': 'página: el programa está arrancando; intente otra vez',
  'page_refused.too_many':
    'página: demasiadas solicitudes a la vez; parar el agua funciona de todos modos',
  'page_refused.no_answer':
    'página: el programa no responde; parar el agua funciona de todos modos',
  'page_refused.daemon_mute': 'el programa no responde; arránquelo otra vez y revise su disco',
  'page_refused.no_people':
    'página: la configuración no nombra personas; dé un nombre con cada cambio',
  'page_refused.pin_wait': 'PIN: demasiados errores; espere {s} s e intente otra vez',
  'page_refused.sign_in_full': 'sesión: demasiados entran a la vez; intente en un momento',
  'page_refused.pins_full': 'PIN: esperan demasiados; intente en un momento',
  'page_refused.wrong_pin': 'nombre o PIN: no es correcto; intente otra vez',
  'page_refused.no_such_bed':
    'área: no está en el plan más nuevo (recibido {got}); las áreas son {beds}',
  'page_refused.no_such_form': 'formulario: no hay ninguno así (recibido {got}); son {known}',
  'page_refused.too_many_pages': 'página: está abierta demasiadas veces; cierre algunas y recargue',
  'page_refused.no_plan': 'plan: todavía no hay; haga uno',
  signed_out: 'Sesión cerrada.',
  'setup_page.preview_gone': 'configuración: esa vista previa ya no se conoce; revísela otra vez',
  'setup_page.written': 'Escrito: {path}',
  'setup_page.copy': 'El archivo anterior queda como {path}',
  'setup_page.reloads': 'El programa la toma ahora; cada uno inicia sesión otra vez.',
  'setup_page.next_start':
    'Vale desde el próximo arranque: pare el programa y arránquelo otra vez.',
  'setup_page.own_sand': '{sand}: de este sitio',

  'need.database_gone':
    '{what}; no se entrega nada: pare el programa, repóngalo o restaure una copia, arránquelo otra vez',
  'need.lock_gone':
    '{what}; no se entrega nada: pare el programa, repóngalo o restaure una copia, arránquelo otra vez',
  'need.database_fault':
    'la base de datos no se deja escribir (recibido {got}); libere espacio o arregle sus permisos',
  'need.store_altered':
    '{what}; nada de eso corre: averigüe quién escribe en la base de datos, luego {do_release} y confirme',
  'need.disk_low': 'quedan solo {megabytes} MB libres; libere espacio',
  'need.daemon_away':
    'el programa no corre: no se planea ni se envía nada; arránquelo con `dewbeat run`',
  'need.heartbeat_late':
    'el programa tiene la carpeta de datos y no dice nada; mire su registro, arránquelo otra vez',
  'need.clockwork': '{what}; arranque el programa otra vez',
  'need.config_refused':
    'la configuración se rechazó en la última relectura y sigue la anterior; corríjala y relea',
  'need.site_changed':
    'el sitio cambió desde que se hizo el plan ({what}); {do_release} y confirme',
  'need.order_refused':
    '{output} rechazó {order} (recibido {got}); arréglelo, haga un plan nuevo y confírmelo',
  'need.order_open':
    '{output} no ha tomado {order} (recibido {isMute, select, yes {sin respuesta} other {{got}}}); mire qué lo recibe',
  'need.output_away': '{output}: {what}; no le llega nada hasta que vuelva',
  'need.output_unseen':
    '{output}: nadie puede ver qué hay ahí (recibido {isMute, select, yes {sin respuesta} other {{got}}}); dé al programa permiso de leerlo, o mire usted después de parar el agua',
  'need.output_changed':
    '{output}: se puso en orden {times} veces en diez minutos (último {isMute, select, yes {otra vez como debe} other {{got}}}); averigüe quién más escribe ahí',
  'need.place_left':
    '{where}: ninguna salida escribe ahí ya, y puede haber corridas (recibido {got}); haga que se alcance, o pare sus válvulas a mano',
  'need.plan_missing':
    'hoy no hay plan{isMute, select, yes {} other { (recibido {got})}}; arréglelo, o haga uno con {do_plan}',
  'need.hold_open':
    '{beds, select, all {todo} other {{beds}}}: agua parada por {who} ({why}){isOver, select, yes {, aunque ya pasó el tiempo previsto} other {}}; {do_release} y confirme para volver a regar',
  'need.plan_held':
    'el plan {revision} del {siteDay} espera a una persona; {do_show}, luego confírmelo',
  'need.page_away': 'no se puede servir la página; libere su puerto o ponga otro page.port',

  'status.all_is_well': 'Todo bien: nada necesita a una persona ahora.',
  'status.needs_a_person': 'Necesita a una persona:',
  'status.none': 'ninguno',
  'status.daemon': 'programa',
  'status.not_running': 'no corre',
  'status.no_word_yet': 'corre, aún sin noticia',
  'status.running': 'corre, proceso {pid}, última noticia hace {ago}',
  'status.page': 'página',
  'status.not_served': 'no se sirve',
  'status.config': 'configuración',
  'status.newest_plan': 'plan más nuevo',
  'status.plan': 'plan {revision} del {siteDay}, huella {digest}.',
  'status.plan_made': 'plan {revision} del {siteDay}, huella {digest}, hecho hace {ago}',
  'status.weather': 'tiempo',
  'status.in_force': 'vigente',
  'status.next_cycle': 'próximo ciclo',
  'status.next_run': '{at} {bed}, estación {station}, en {in}',
  'status.driest': 'más seca',
  'status.driest_bed':
    '{bed}, {isDry, select, yes {seca ahora} other {seca en {in}}} {isWatered, select, yes {con el plan vigente} other {sin agua}}',
  'status.stops': 'agua parada',
  'status.keep_offs': 'sin agua',
  'status.keep_off':
    '{beds, select, all {todo} other {{beds}}}, {who}: {why}, {until, select, none {hasta que se termine} other {hasta {until}}} (id {id})',
  'status.orders': 'órdenes',
  'status.order':
    '{output}: {kind, select, deliver {plan} other {parada}} {order}, hace {age}, {answer}{detail}',
  'status.order_received': '{line}; su receptor: {answer}{detail}',
  'status.outputs': 'salidas',
  'status.output': '{output}: {is, select, well {bien} other {AUSENTE}}, {detail}',
  'status.disk': 'disco',
  'status.disk_use':
    'base de datos {used} MB, {free, select, unknown {no se sabe cuánto queda libre} other {{free} MB libres}}',
};
