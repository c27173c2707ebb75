/** What a person does about plans and water, and why it is refused, in English; what needs a person. */
export const GATE = {
  'do.plan':
    '{place, select, page {“Change, {act_replan}”} review {`p`} anywhere {“{act_replan}”} other {`dewbeat plan`}}',
  'do.release':
    '{place, select, page {“Change, {act_release}”} review {`u`} anywhere {“{act_release}”} other {`dewbeat release`}}',
  'do.show':
    '{place, select, page {“Read the newest plan”} review {`Escape`, the first screen} anywhere {the newest plan} other {`dewbeat show`}}',
  'do.ran':
    '{place, select, page {“Day line”} review {`l`} anywhere {the day line} other {`dewbeat ran`}}',
  'do.keep_off':
    '{place, select, page {“Change, {act_keep_off}”} review {`k`} anywhere {“{act_keep_off}”} other {`dewbeat keep-off`}}',
  'do.end_keep_off':
    '{place, select, page {“Change, {act_keep_off}, It is over”} review {`e`} anywhere {“{act_end_keep_off}”} other {`dewbeat keep-off --end`}}',
  'do.stage':
    '{place, select, page {“Change, {act_stage}”} review {`s`} anywhere {“{act_stage}”} other {`dewbeat stage`}}',
  'do.water':
    '{place, select, page {“Change, {act_water}”} review {`w`} anywhere {“{act_water}”} other {`dewbeat water`}}',
  'do.who':
    '{place, select, page {“Your name”} review {your name} anywhere {a name} other {`--who`}}',
  'do.tick':
    '{place, select, page {“Have you looked?”} review {its number} anywhere {each} other {`--caution`}}',
  'do.stop_water':
    '{place, select, page {“Stop water”} review {`h`} anywhere {“Stop water”} other {`dewbeat stop-water`}}',
  'do.look':
    '{place, select, command {`dewbeat look`} anywhere {a look} other {`dewbeat look` in a terminal}}',
  'do.undo_look':
    '{place, select, command {`dewbeat look --undo`} anywhere {its number} other {`dewbeat look --undo` in a terminal}}',
  'do.meter':
    '{place, select, command {`dewbeat meter`} anywhere {“{act_meter}”} other {`dewbeat meter` in a terminal}}',
  'do.correct_meter':
    '{place, select, command {`dewbeat correct --what meter`} anywhere {a correction} other {`dewbeat correct --what meter` in a terminal}}',

  'confirm_refused.line': 'Not confirmed: {why}',
  'confirm_refused.no_plan': 'there is no plan yet; make one with {do_plan}',
  'confirm_refused.name_missing': 'a confirm needs a name; give {do_who}',
  'confirm_refused.digest_too_short':
    'too few characters of the digest (got {got}); give the first {least} or more, from {do_show}',
  'confirm_refused.revision_outdated':
    'plan {got} is not the newest: that is plan {revision} of {siteDay}, digest {digest}; read it with {do_show} and confirm that one',
  'confirm_refused.digest_outdated':
    'this digest is not that of the newest plan (got {got}): that is plan {revision} of {siteDay}, digest {digest}; read it with {do_show} and confirm what you have read',
  'confirm_refused.plan_altered':
    'plan {revision} of {siteDay}, digest {digest}, was altered in the database since it was made; find out who writes to it, then make a fresh plan with {do_plan}',
  'confirm_refused.already_confirmed':
    'plan {revision} of {siteDay} was confirmed by {who} at {confirmedMs}; nothing is sent twice',
  'confirm_refused.day_over':
    'the plan was for {siteDay} and that day is over; make a fresh one with {do_plan}',
  'confirm_refused.site_changed':
    'the site has changed since the plan was made (got: {changes}); make a fresh one with {do_plan}',
  'confirm_refused.held_since':
    '{who} stopped water at {stoppedMs} ({why}), after this plan was made; make a fresh one with {do_release}',
  'confirm_refused.keep_off_since':
    'the plan waters {bed} at {startMs}, in a keep-off put on after it was made; see {do_keep_off}, and make a fresh plan with {do_plan}',
  'confirm_refused.overtaken':
    'the plan in force has watered {bed} at {startMs} since this one was made; make a fresh one with {do_plan}, so that no bed drinks twice',
  'confirm_refused.cautions_missing':
    'tick every caution (missing {missing}); look at the turf, then {place, select, command {tick them with `--caution {all}`} other {tick {do_tick}}}',
  'confirm_caution.turf_clear': 'The turf is clear of people and machines; pits are covered.',
  'confirm_caution.no_injector_armed': 'No injector is armed on these lines.',
  'confirm_caution.covers_off': 'Covers are off the beds that get water.',
  'confirm_caution.weather_stands_in':
    'The plan rests on stand-in weather: you have looked at the sky, and the day is like that.',
  'confirm_command.who': 'YOUR NAME',
  'confirmed.line': 'Confirmed: plan {revision} of {siteDay} by {who}.',
  'confirmed.missed': 'missed, not made up for: {at} {bed} station {station}',

  'altered.confirmed_row':
    'plan {revision} of {siteDay} is not the one that was confirmed: its row does not fit its digest',
  'altered.not_in_log': 'the confirm of plan {revision} of {siteDay} stands in no line of the log',
  'altered.cautions_lacking': 'the confirm of plan {revision} of {siteDay} lacks {missing}',
  'altered.waiting_row': 'plan {revision} of {siteDay}: its row does not fit its digest',
  'altered.confirm_gone': 'its confirm is not in the store',
  'altered.no_confirm': 'it names no confirm',
  'nothing_stands.held': 'all water is stopped',
  'site_change.not_told': 'the plan does not say for what stations it was made',
  'site_change.other_site': 'the site is now {now}, the plan is for {before}',
  'site_change.zone': 'the zone is now {now}, it was {before}',
  'site_change.bed_gone': 'bed {bed} is gone',
  'site_change.bed_new': 'bed {bed} is new',
  'site_change.station_gone': 'station {station} is gone',
  'site_change.station_new': 'station {station} is new',
  'site_change.station_moved': 'station {station} now waters {now}, it watered {before}',
  'site_change.figures': 'station {station} {figures}',
  'site_change.figure': 'now has {now}, it had {before}',
  'site_change.slightly': 'now has {now}, slightly other than before',
  'site_change.rotation': 'a rotation of {s} s',
  'site_change.and': ' and ',
  'site_change.more': 'and {more} more',

  'stop.done': 'Water stopped: {beds, select, all {everything} other {{beds}}}.',
  'stop.not_stopped':
    'NOT STOPPED at {outputs}: close the valves by hand. Asked to stop: {beds, select, all {everything} other {{beds}}}.',
  'stop.output_stopped': '{output}: stopped, {detail}',
  'stop.output_not_stopped': '{output}: NOT STOPPED, {detail}; close its valves by hand',
  'stop.unwritten':
    'NOT WRITTEN: the store could not be written (got {why}); {reached, select, stopped {the water is stopped, but} other {NOT EVERY OUTPUT HAS TAKEN IT, and}} {keeper, select, daemon {only this daemon remembers it, and goes on trying to write it: mend the store before the daemon is stopped} other {nothing remembers it: mend the store and stop water again before anything is confirmed}}.',
  'stop.not_now':
    'NOT STOPPED: the daemon is reading its config anew; stop water again, or close the valves by hand.',
  'stop.store_silent': 'no answer from the store yet',
  'stop.of_the_others': 'Of the others: {what}.',
  'stop_request.no_json': 'is no JSON; send {example}',
  'stop_request.no_map': 'is no map; send {example}',
  'stop_request.no_beds': 'beds: is missing; name the beds, or write all',
  'stop_request.no_reason': 'no reason given',
  someone: 'someone',
  'someone.at_page': 'someone at the page',
  'someone.at_address': 'someone at {address}',
  'someone.not_signed_in': '{name} (not signed in, {address})',
  'someone.at_command_line': 'someone at the command line',
  'outputs.none': 'No output is configured: nothing is sent anywhere.',
  'outputs.on_its_way': 'No receiver has it yet: it goes to {outputs} now.',
  'order.accepted': '{output}: {answer}{detail}',
  'order.not_taken': '{output}: NOT TAKEN, the receiver does not have it ({answer}{detail})',
  'order.not_taken_yet':
    '{output}: NOT TAKEN, as far as anyone knows the receiver does not have it yet ({answer}{detail})',

  'corrected.what':
    '{what}{subject, select, none {} other {, {subject}}}, {at}: {was}, right {right}; {why}',
  'corrected.ran': 'run',
  'corrected.water': 'hand water',
  'corrected.meter': 'meter',
  'corrected.nothing': 'nothing was recorded',
  'corrected.recorded': 'recorded {value}',
  'corrected.done': 'Put right: {what}.',
  'corrected.next':
    'Reports show both. Plans do not look at it: log water that a plan should count with {do_water}.',
  'refused.beds_missing': 'is missing; name the beds, or write all',
  'refused.no_such_look': 'no such look (got {got}); see their numbers in the list',
  'refused.look_undone': 'was taken back already (got {got}, by {who})',
  'refused.not_been_yet': 'lies ahead (got {got}); only what has been can be put right',
  'refused.no_such_station': 'no such station (got {got}); see {do_ran}',
  'refused.no_water_then':
    "no water by hand on {subject} then (got {got}); see the report's table of it, or log it with {do_water}",
  'refused.no_reading_then': 'no reading of the meter then (got {got}); {do_meter} lists them',

  no_weather:
    '{source}: no weather, and no earlier day to stand in for it (got {hours} hours); type an outlook for today, or mend the source',
  'no_weather.from':
    '{source}: no weather from {from}, and no earlier day to stand in for it (got {hours} hours); type an outlook for today, or mend the source',
  'not_reckoned.newer_asked':
    'page: something newer was asked in your name and took its place; look at that one',
  'not_reckoned.too_busy':
    'daemon: too much waits to be worked out (got {count}); try again in a minute',
  'not_reckoned.too_many_changes':
    'daemon: too many changes wait for their plans (got {count}); nothing of this one was done, try again in a minute',
  'not_reckoned.stopping':
    'daemon: stops, or starts anew with another config; try again in a moment',
  'not_reckoned.broken_off': 'daemon: working it out was broken off (got {how}); try again',
  'not_reckoned.too_long':
    'daemon: working it out took too long (got none in {s} s) and was given up; try again',
  'page_refused.problems': '{problems}{more, plural, =0 {} other {\nand # more; mend these first}}',
  'page_refused.fault': 'page: something went wrong in the daemon; its log says what',
  'page_refused.nothing_there': 'page: there is nothing under this path',
  'page_refused.unknown_host':
    'page: is not reached under this name; use the address of this machine, or add the name to page.hosts in the config',
  'page_refused.unknown_proxy':
    "page: is reached through a proxy that the config does not name (got the header {header}); add the proxy's address to page.proxies, or reach the page without it",
  'page_refused.foreign':
    'page: takes actions from its own page alone; send the header {header}, from the same origin',
  'page_refused.sign_in': 'page: who are you? Sign in with your name and PIN',
  'page_refused.no_name': 'who: is missing; give your name',
  'page_refused.watcher': '{name}: may look and stop water; ask a keeper to change or confirm',
  'page_refused.too_large': 'page: the request is larger than {bytes} bytes',
  'page_refused.stops_only': 'here water is stopped, and nothing else',
  'page_refused.starting': 'page: the daemon is starting; try again',
  'page_refused.too_many': 'page: too many requests at once; stopping water works all the same',
  'page_refused.no_answer': 'page: the daemon does not answer; stopping water works all the same',
  'page_refused.daemon_mute': 'the daemon does not answer; start it again, and look at its disk',
  'page_refused.no_people': 'page: no people are named in the config; give a name with each change',
  'page_refused.pin_wait': 'PIN: wrong too often; wait {s} s, then try again',
  'page_refused.sign_in_full': 'sign-in: too many are asking at once; try again in a moment',
  'page_refused.pins_full': 'PINs: too many wait; try again in a moment',
  'page_refused.wrong_pin': 'name or PIN: is wrong; try again',
  'page_refused.no_such_bed': 'bed: is not in the newest plan (got {got}); the beds are {beds}',
  'page_refused.no_such_form': 'form: there is none (got {got}); they are {known}',
  'page_refused.too_many_pages': 'page: is open too often; close some and reload',
  'page_refused.no_plan': 'plan: there is none yet; make one',
  signed_out: 'Signed out.',
  'setup_page.preview_gone': 'set-up: that preview is no longer known; check it again',
  'setup_page.written': 'Written: {path}',
  'setup_page.copy': 'The file before is kept as {path}',
  'setup_page.reloads': 'The daemon takes it up now; people sign in again.',
  'setup_page.next_start': 'It counts from the next start: stop the daemon and start it again.',
  'setup_page.own_sand': '{sand}: of this site',

  'need.database_gone':
    '{what}; nothing is delivered: stop the daemon, put it back or restore a backup, start again',
  'need.lock_gone':
    '{what}; nothing is delivered: stop the daemon, put it back or restore a backup, start again',
  'need.database_fault':
    'the database refuses to be written (got {got}); free some space or mend its rights',
  'need.store_altered':
    '{what}; nothing of it runs: find out who writes to the database, then {do_release} and confirm',
  'need.disk_low': 'only {megabytes} MB are free; free some space',
  'need.daemon_away': 'no daemon runs: nothing is planned or sent; start it with `dewbeat run`',
  'need.heartbeat_late':
    'the daemon has the data folder and says nothing; look at its log, start it again',
  'need.clockwork': '{what}; start the daemon again',
  'need.config_refused':
    'the config was refused at the last reload and the one before goes on; correct it and reload',
  'need.site_changed':
    'the site has changed since the plan was made ({what}); {do_release} and confirm',
  'need.order_refused':
    '{output} refused {order} (got {got}); mend that, make a fresh plan and confirm it',
  'need.order_open':
    '{output} has not taken {order} (got {isMute, select, yes {no answer} other {{got}}}); look at what receives it',
  'need.output_away': '{output}: {what}; nothing reaches it until it is back',
  'need.output_unseen':
    '{output}: nobody can see what stands there (got {isMute, select, yes {no answer} other {{got}}}); give the daemon the right to read it, or look there yourself after a stop',
  'need.output_changed':
    '{output}: was put right {times} times within ten minutes (last {isMute, select, yes {as wanted again} other {{got}}}); find out who else writes there',
  'need.place_left':
    '{where}: no output writes there any more, and runs may stand there (got {got}); make it reachable, or stop its valves by hand',
  'need.plan_missing':
    'today has no plan{isMute, select, yes {} other { (got {got})}}; mend that, or make one with {do_plan}',
  'need.hold_open':
    '{beds, select, all {everything} other {{beds}}}: water stopped by {who} ({why}){isOver, select, yes {, though the time meant for it is over} other {}}; {do_release} and confirm to water again',
  'need.plan_held': 'plan {revision} of {siteDay} waits for a person; {do_show}, then confirm it',
  'need.page_away': 'the page cannot be served; free its port or name another page.port',

  'status.all_is_well': 'All is well: nothing needs a person now.',
  'status.needs_a_person': 'Needs a person:',
  'status.none': 'none',
  'status.daemon': 'daemon',
  'status.not_running': 'not running',
  'status.no_word_yet': 'running, no word from it yet',
  'status.running': 'running, process {pid}, last word {ago} ago',
  'status.page': 'page',
  'status.not_served': 'not served',
  'status.config': 'config',
  'status.newest_plan': 'newest plan',
  'status.plan': 'plan {revision} of {siteDay}, digest {digest}.',
  'status.plan_made': 'plan {revision} of {siteDay}, digest {digest}, made {ago} ago',
  'status.weather': 'weather',
  'status.in_force': 'in force',
  'status.next_cycle': 'next cycle',
  'status.next_run': '{at} {bed}, station {station}, in {in}',
  'status.driest': 'driest bed',
  'status.driest_bed':
    '{bed}, {isDry, select, yes {dry now} other {dry in {in}}} {isWatered, select, yes {with the plan in force} other {without water}}',
  'status.stops': 'stopped water',
  'status.keep_offs': 'keep-offs',
  'status.keep_off':
    '{beds, select, all {everything} other {{beds}}}, {who}: {why}, {until, select, none {until ended} other {until {until}}} (id {id})',
  'status.orders': 'orders',
  'status.order':
    '{output}: {kind, select, deliver {plan} other {stop}} {order}, {age} old, {answer}{detail}',
  'status.order_received': '{line}; its receiver: {answer}{detail}',
  'status.outputs': 'outputs',
  'status.output': '{output}: {is, select, well {well} other {AWAY}}, {detail}',
  'status.disk': 'disk',
  'status.disk_use':
    'database {used} MB, {free, select, unknown {free space not told} other {{free} MB free}}',
} as const;
