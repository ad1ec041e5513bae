-- A book in layout 0003, as first shipped, with invented entries. Never change this file.
PRAGMA foreign_keys=OFF;
PRAGMA application_id=1281714290;
BEGIN TRANSACTION;
CREATE TABLE alarms (
	id INTEGER NOT NULL, 
	run_id INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	raised_at INTEGER NOT NULL, 
	cleared_at INTEGER, 
	acknowledged_at INTEGER, 
	text TEXT NOT NULL, 
	value DOUBLE, 
	CONSTRAINT pk_alarms PRIMARY KEY (id), 
	CONSTRAINT ck_alarms_cleared_after_raised CHECK (cleared_at >= raised_at), 
	CONSTRAINT fk_alarms_run_id_runs FOREIGN KEY(run_id) REFERENCES runs (id) ON DELETE CASCADE
);
INSERT INTO "alarms" VALUES(1,1,'too cold',1773538200000000,1773541800000000,1773540000000000,'31 °C below the plan',-31.0);
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0003');
CREATE TABLE batch_sheets (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	made_at INTEGER NOT NULL, 
	glass_kg DOUBLE NOT NULL, 
	snapshot TEXT NOT NULL, 
	CONSTRAINT pk_batch_sheets PRIMARY KEY (id), 
	CONSTRAINT ck_batch_sheets_glass_possible CHECK (glass_kg > 0)
);
INSERT INTO "batch_sheets" VALUES(1,'quay clear',1773523800000000,2.00195156512971763609e+01,'{"format_version": 2, "kind": "batch", "batch": {"request": {"name": "quay clear", "target": {"weight_percent": {"SiO2": 72.0, "Na2O": 17.0, "CaO": 11.0}, "original_total": 100.0, "basis": "wt%", "warnings": [], "uncertainty": {}, "notes": []}, "materials": {"materials": [{"name": "dune sand", "oxides": {"SiO2": 1.0}, "gases": {}, "moisture": 0.03, "use": "base", "price": 0.4, "stock": 250.0, "hazards": [], "hazard": "", "formula": "SiO2", "note": "", "source": "", "warnings": []}, {"name": "soda ash", "oxides": {"Na2O": 0.5847737479714684}, "gases": {"CO2": 0.41522625202853153}, "moisture": 0.0, "use": "base", "price": 1.1, "stock": null, "hazards": [], "hazard": "", "formula": "Na2CO3", "note": "", "source": "", "warnings": []}, {"name": "chalk", "oxides": {"CaO": 0.5602881521891173}, "gases": {"CO2": 0.4397118478108826}, "moisture": 0.0, "use": "base", "price": 0.6, "stock": null, "hazards": [], "hazard": "", "formula": "CaCO3", "note": "", "source": "", "warnings": []}], "currency": "EUR", "name": "the studio''s materials"}, "size": 20.0, "size_of": "glass", "cullet": null, "bounds": {}, "weights": {}, "volatilises": {}, "additions": [], "division": 0.01, "fine_division": 0.0001, "prefer": null, "wished_from": null}, "weighings": [{"material": "dune sand", "part": "base", "mass": 14.86, "exact": 14.845409332980362, "division": 0.01, "cost": 5.944, "hazards": [], "counted": null}, {"material": "soda ash", "part": "base", "mass": 5.82, "exact": 5.814169899011297, "division": 0.01, "cost": 6.402000000000001, "hazards": [], "counted": null}, {"material": "chalk", "part": "base", "mass": 3.93, "exact": 3.926513554187654, "division": 0.01, "cost": 2.358, "hazards": [], "counted": null}], "oxides": [{"oxide": "SiO2", "target": 72.0, "reached": 72.00074293039164}, {"oxide": "Na2O", "target": 17.0, "reached": 17.000327442854104}, {"oxide": "CaO", "target": 11.0, "reached": 10.99892962675426}], "base": {"weight_percent": {"SiO2": 72.00074293039164, "Na2O": 17.000327442854104, "CaO": 10.99892962675426}, "original_total": 100.0, "basis": "wt%", "warnings": [], "uncertainty": {}, "notes": []}, "glass": {"weight_percent": {"SiO2": 72.00074293039164, "Na2O": 17.000327442854104, "CaO": 10.99892962675426}, "original_total": 100.0, "basis": "wt%", "warnings": [], "uncertainty": {}, "notes": []}, "target_properties": null, "base_properties": null, "glass_properties": null, "shortfalls": [], "exact_glass": 20.0, "balance": {"weighed": 24.61, "glass": 20.019515651297176, "gas": 4.144684348702822, "moisture": 0.4458, "volatilised": 0.0}, "gases": [{"gas": "CO2", "mass": 4.144684348702822, "volume": 2.2654653907499576}], "volatilised": {}, "cost": 14.704, "unpriced": [], "safety": ["Weigh and mix under extraction or with a fitted dust mask, wet-wipe or vacuum with a fine filter, never sweep dry; keep food and children out of the batch room.", "The supplier''s safety data sheet and the rules where you work come before these lines; have them at hand before you open a bag."], "warnings": [], "notes": ["Of batches equally near the target the cheapest was taken.", "No allowance for volatilisation: the melt loses some Na2O. Compare an analysis of your glass with its batch and enter the loss."]}}');
CREATE TABLE charge_lists (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	made_at INTEGER NOT NULL, 
	CONSTRAINT pk_charge_lists PRIMARY KEY (id)
);
INSERT INTO "charge_lists" VALUES(1,'Saturday night',1773523800000000);
CREATE TABLE charged_glasses (
	id INTEGER NOT NULL, 
	folded TEXT NOT NULL, 
	pot_id INTEGER, 
	since INTEGER, 
	snapshot TEXT NOT NULL, 
	CONSTRAINT pk_charged_glasses PRIMARY KEY (id), 
	CONSTRAINT fk_charged_glasses_pot_id_pots FOREIGN KEY(pot_id) REFERENCES pots (id) ON DELETE CASCADE
);
INSERT INTO "charged_glasses" VALUES(1,'batch',NULL,NULL,'{"format_version": 2, "kind": "charged glass", "charged glass": {"material": "batch", "glass": "quay clear", "glass_yield": 0.83, "relative_error": 0.02, "pot": "", "since": null}}');
INSERT INTO "charged_glasses" VALUES(2,'cullet',1,1773523800000000,'{"format_version": 2, "kind": "charged glass", "charged glass": {"material": "cullet", "glass": {"weight_percent": {"SiO2": 72.0, "Na2O": 17.0, "CaO": 11.0}, "original_total": 100.0, "basis": "wt%", "warnings": [], "uncertainty": {}, "notes": []}, "glass_yield": 1.0, "relative_error": 0.02, "pot": "", "since": "2026-03-14T21:30:00+00:00"}}');
CREATE TABLE charges (
	id INTEGER NOT NULL, 
	pot_id INTEGER NOT NULL, 
	time INTEGER NOT NULL, 
	material TEXT NOT NULL, 
	mass_kg DOUBLE NOT NULL, 
	note TEXT NOT NULL, 
	CONSTRAINT pk_charges PRIMARY KEY (id), 
	CONSTRAINT ck_charges_mass_possible CHECK (mass_kg > 0 AND mass_kg <= 10000), 
	CONSTRAINT fk_charges_pot_id_pots FOREIGN KEY(pot_id) REFERENCES pots (id) ON DELETE RESTRICT
);
INSERT INTO "charges" VALUES(1,1,1773523800000000,'batch',12.5,'damp');
INSERT INTO "charges" VALUES(2,1,1773531000000000,'batch',7.75,'');
CREATE TABLE equipment (
	id INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	name TEXT NOT NULL, 
	settings TEXT NOT NULL, 
	CONSTRAINT pk_equipment PRIMARY KEY (id), 
	CONSTRAINT ck_equipment_kind_known CHECK (kind IN ('lehr', 'furnace')), 
	CONSTRAINT uq_equipment_kind_name UNIQUE (kind, name)
);
INSERT INTO "equipment" VALUES(1,'lehr','Net loft lehr','{"format_version": 2, "kind": "lehr", "lehr": {"name": "Net loft lehr", "cooling_time_constant": 16200.0, "ambient": 293.15, "max_heating_rate": 0.05555555555555555, "max_temperature": 923.15, "thermocouple_offset": 0.0, "thermocouple_error": 2.5, "unevenness": 5.0, "controller": {"entry": "rate", "unit": "C", "max_segments": 8, "rate_step": 1.0}}}');
INSERT INTO "equipment" VALUES(2,'furnace','Shore furnace','{"format_version": 1, "kind": "furnace"}');
CREATE TABLE fits (
	id INTEGER NOT NULL, 
	equipment_id INTEGER NOT NULL, 
	run_id INTEGER, 
	fitted_at INTEGER NOT NULL, 
	snapshot TEXT NOT NULL, 
	CONSTRAINT pk_fits PRIMARY KEY (id), 
	CONSTRAINT fk_fits_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id) ON DELETE CASCADE, 
	CONSTRAINT fk_fits_run_id_runs FOREIGN KEY(run_id) REFERENCES runs (id) ON DELETE SET NULL
);
INSERT INTO "fits" VALUES(1,1,1,1773595800000000,'{"format_version": 2, "kind": "fit", "fit": {"equipment": "Net loft lehr", "equipment_kind": "lehr", "fitted_at": "2026-03-15T17:30:00+00:00", "parameters": [{"name": "time constant", "value": 15840.000000000002, "low": 14759.999999999998, "high": 16920.0, "determined": true}], "scatter": 1.2, "run_id": null, "remarks": ["Invented."]}}');
CREATE TABLE glass_versions (
	id INTEGER NOT NULL, 
	glass_id INTEGER NOT NULL, 
	number INTEGER NOT NULL, 
	snapshot TEXT NOT NULL, 
	saved_at INTEGER NOT NULL, 
	CONSTRAINT pk_glass_versions PRIMARY KEY (id), 
	CONSTRAINT ck_glass_versions_number_from_one CHECK (number >= 1), 
	CONSTRAINT fk_glass_versions_glass_id_glasses FOREIGN KEY(glass_id) REFERENCES glasses (id) ON DELETE CASCADE, 
	CONSTRAINT uq_glass_versions_glass_id_number UNIQUE (glass_id, number)
);
INSERT INTO "glass_versions" VALUES(1,1,1,'{"format_version": 2, "kind": "glass", "glass": {"name": "quay clear", "composition": {"weight_percent": {"SiO2": 72.0, "Na2O": 17.0, "CaO": 11.0}, "original_total": 100.0, "basis": "wt%", "warnings": [], "uncertainty": {}, "notes": []}, "measured": {"strain_point": null, "strain_point_error": null, "annealing_point": null, "annealing_point_error": null, "softening_point": null, "softening_point_error": null, "working_point": null, "working_point_error": null, "melting_point": null, "melting_point_error": null, "expansion": null, "expansion_error": null, "density": null, "density_error": null, "youngs_modulus": null, "youngs_modulus_error": null, "source": "", "viscosities": []}, "note": "for prisms", "source": "invented"}}',1795626378461495);
CREATE TABLE "glasses" (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	CONSTRAINT pk_glasses PRIMARY KEY (id), 
	CONSTRAINT uq_glasses_name UNIQUE (name)
);
INSERT INTO "glasses" VALUES(1,'quay clear');
CREATE TABLE imports (
	id INTEGER NOT NULL, 
	run_id INTEGER NOT NULL, 
	file_name TEXT NOT NULL, 
	file_hash TEXT NOT NULL, 
	imported_at INTEGER NOT NULL, 
	added INTEGER NOT NULL, 
	skipped INTEGER NOT NULL, 
	CONSTRAINT pk_imports PRIMARY KEY (id), 
	CONSTRAINT ck_imports_counts_not_negative CHECK (added >= 0 AND skipped >= 0), 
	CONSTRAINT fk_imports_run_id_runs FOREIGN KEY(run_id) REFERENCES runs (id) ON DELETE CASCADE
);
INSERT INTO "imports" VALUES(1,1,'night.csv','abababababababababababababababababababababababababababababababab',1795626378502176,6,0);
CREATE TABLE live_sources (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	equipment_id INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	settings TEXT NOT NULL, 
	CONSTRAINT pk_live_sources PRIMARY KEY (id), 
	CONSTRAINT fk_live_sources_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id) ON DELETE CASCADE, 
	CONSTRAINT uq_live_sources_name UNIQUE (name)
);
INSERT INTO "live_sources" VALUES(1,'lehr controller',1,'modbus tcp','{"host": "127.0.0.1", "port": 502, "register": 1, "scale": 0.1}');
CREATE TABLE loads (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	equipment_id INTEGER, 
	button_time INTEGER NOT NULL, 
	out_by INTEGER, 
	snapshot TEXT NOT NULL, 
	saved_at INTEGER NOT NULL, 
	CONSTRAINT pk_loads PRIMARY KEY (id), 
	CONSTRAINT ck_loads_out_after_button CHECK (out_by > button_time), 
	CONSTRAINT fk_loads_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id) ON DELETE SET NULL
);
INSERT INTO "loads" VALUES(1,'Two prisms',1,1773523800000000,1773667800000000,'{"format_version": 2, "kind": "load", "load": {"name": "Two prisms", "pieces": [{"name": "Deck prism", "count": 2, "shape": "cylinder", "glass": "quay clear", "wall_thickness": null, "base_thickness": null, "diameter": 0.05, "height": null, "cooled_from": "both", "base_cooled_from": "one"}, {"name": "Float", "count": 8, "shape": "plate", "glass": "quay clear", "wall_thickness": 0.003, "base_thickness": null, "diameter": null, "height": null, "cooled_from": "both", "base_cooled_from": "one"}], "glasses": [{"name": "quay clear", "glass": {"name": "quay clear", "composition": {"weight_percent": {"SiO2": 72.0, "Na2O": 17.0, "CaO": 11.0}, "original_total": 100.0, "basis": "wt%", "warnings": [], "uncertainty": {}, "notes": []}, "measured": {"strain_point": null, "strain_point_error": null, "annealing_point": null, "annealing_point_error": null, "softening_point": null, "softening_point_error": null, "working_point": null, "working_point_error": null, "melting_point": null, "melting_point_error": null, "expansion": null, "expansion_error": null, "density": null, "density_error": null, "youngs_modulus": null, "youngs_modulus_error": null, "source": "", "viscosities": []}, "note": "for prisms", "source": "invented"}}], "lehr": {"name": "Net loft lehr", "cooling_time_constant": 16200.0, "ambient": 293.15, "max_heating_rate": 0.05555555555555555, "max_temperature": 923.15, "thermocouple_offset": 0.0, "thermocouple_error": 2.5, "unevenness": 5.0, "controller": {"entry": "rate", "unit": "C", "max_segments": 8, "rate_step": 1.0}}, "button_time": "2026-03-14T21:30:00+00:00", "out_by": "2026-03-16T13:30:00+00:00", "start_temperature": null, "hand_warm": 318.15, "limits": {"permanent_tension": 400000.0, "permanent_wall_base": 2100000.0, "temporary_tension": 7000000.0, "temporary_wall_base": 19000000.0, "safety_factor": 2.0}, "soak_above_annealing": 5.0, "timezone": "", "piece_limits": [], "gathered": []}}',1773523800000000);
INSERT INTO "loads" VALUES(2,'Two prisms again',1,1773523800000000,1773667800000000,'{"format_version": 2, "kind": "load", "load": {"name": "Two prisms again", "pieces": [{"name": "Deck prism", "count": 2, "shape": "cylinder", "glass": "quay clear", "wall_thickness": null, "base_thickness": null, "diameter": 0.05, "height": null, "cooled_from": "both", "base_cooled_from": "one"}, {"name": "Float", "count": 8, "shape": "plate", "glass": "quay clear", "wall_thickness": 0.003, "base_thickness": null, "diameter": null, "height": null, "cooled_from": "both", "base_cooled_from": "one"}], "glasses": [{"name": "quay clear", "glass": {"name": "quay clear", "composition": {"weight_percent": {"SiO2": 72.0, "Na2O": 17.0, "CaO": 11.0}, "original_total": 100.0, "basis": "wt%", "warnings": [], "uncertainty": {}, "notes": []}, "measured": {"strain_point": null, "strain_point_error": null, "annealing_point": null, "annealing_point_error": null, "softening_point": null, "softening_point_error": null, "working_point": null, "working_point_error": null, "melting_point": null, "melting_point_error": null, "expansion": null, "expansion_error": null, "density": null, "density_error": null, "youngs_modulus": null, "youngs_modulus_error": null, "source": "", "viscosities": []}, "note": "for prisms", "source": "invented"}}], "lehr": {"name": "Net loft lehr", "cooling_time_constant": 16200.0, "ambient": 293.15, "max_heating_rate": 0.05555555555555555, "max_temperature": 923.15, "thermocouple_offset": 0.0, "thermocouple_error": 2.5, "unevenness": 5.0, "controller": {"entry": "rate", "unit": "C", "max_segments": 8, "rate_step": 1.0}}, "button_time": "2026-03-14T21:30:00+00:00", "out_by": "2026-03-16T13:30:00+00:00", "start_temperature": null, "hand_warm": 318.15, "limits": {"permanent_tension": 400000.0, "permanent_wall_base": 2100000.0, "temporary_tension": 7000000.0, "temporary_wall_base": 19000000.0, "safety_factor": 2.0}, "soak_above_annealing": 5.0, "timezone": "", "piece_limits": [], "gathered": [{"name": "Deck prism", "pot": "Left pot", "time": "2026-03-14T20:30:00+00:00"}]}}',1773527400000000);
CREATE TABLE log_patterns (
	id INTEGER NOT NULL, 
	pattern TEXT NOT NULL, 
	snapshot TEXT NOT NULL, 
	saved_at INTEGER NOT NULL, 
	CONSTRAINT pk_log_patterns PRIMARY KEY (id), 
	CONSTRAINT uq_log_patterns_pattern UNIQUE (pattern)
);
INSERT INTO "log_patterns" VALUES(1,'night *.csv','{"format_version": 2, "kind": "log format", "log format": {"encoding": "utf-8-sig", "delimiter": ";", "decimal_mark": ",", "header_lines": 1, "time_kind": "date and time", "time_columns": [0], "date_order": "year, month, day", "lapse_unit": "minutes", "temperature_column": 1, "unit": "C", "timezone": "", "column_names": []}}',1795626378949061);
CREATE TABLE materials (
	id INTEGER NOT NULL, 
	position INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	folded TEXT NOT NULL, 
	snapshot TEXT NOT NULL, 
	saved_at INTEGER NOT NULL, 
	CONSTRAINT pk_materials PRIMARY KEY (id), 
	CONSTRAINT uq_materials_folded UNIQUE (folded)
);
INSERT INTO "materials" VALUES(1,0,'dune sand','dune sand','{"format_version": 2, "kind": "material", "material": {"name": "dune sand", "oxides": {"SiO2": 1.0}, "gases": {}, "moisture": 0.03, "use": "base", "price": 0.4, "stock": 250.0, "hazards": [], "hazard": "", "formula": "SiO2", "note": "", "source": "", "warnings": []}}',1795626378553751);
INSERT INTO "materials" VALUES(2,1,'soda ash','soda ash','{"format_version": 2, "kind": "material", "material": {"name": "soda ash", "oxides": {"Na2O": 0.5847737479714684}, "gases": {"CO2": 0.41522625202853153}, "moisture": 0.0, "use": "base", "price": 1.1, "stock": null, "hazards": [], "hazard": "", "formula": "Na2CO3", "note": "", "source": "", "warnings": []}}',1795626378558029);
INSERT INTO "materials" VALUES(3,2,'chalk','chalk','{"format_version": 2, "kind": "material", "material": {"name": "chalk", "oxides": {"CaO": 0.5602881521891173}, "gases": {"CO2": 0.4397118478108826}, "moisture": 0.0, "use": "base", "price": 0.6, "stock": null, "hazards": [], "hazard": "", "formula": "CaCO3", "note": "", "source": "", "warnings": []}}',1795626378561087);
CREATE TABLE notes (
	id INTEGER NOT NULL, 
	time INTEGER NOT NULL, 
	text TEXT NOT NULL, 
	glass_id INTEGER, 
	load_id INTEGER, 
	plan_id INTEGER, 
	run_id INTEGER, 
	equipment_id INTEGER, 
	pot_id INTEGER, 
	CONSTRAINT pk_notes PRIMARY KEY (id), 
	CONSTRAINT ck_notes_one_subject CHECK ((glass_id IS NOT NULL) + (load_id IS NOT NULL) + (plan_id IS NOT NULL) + (run_id IS NOT NULL) + (equipment_id IS NOT NULL) + (pot_id IS NOT NULL) = 1), 
	CONSTRAINT fk_notes_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id) ON DELETE CASCADE, 
	CONSTRAINT fk_notes_glass_id_glasses FOREIGN KEY(glass_id) REFERENCES glasses (id) ON DELETE CASCADE, 
	CONSTRAINT fk_notes_load_id_loads FOREIGN KEY(load_id) REFERENCES loads (id) ON DELETE CASCADE, 
	CONSTRAINT fk_notes_plan_id_plans FOREIGN KEY(plan_id) REFERENCES plans (id) ON DELETE CASCADE, 
	CONSTRAINT fk_notes_pot_id_pots FOREIGN KEY(pot_id) REFERENCES pots (id) ON DELETE CASCADE, 
	CONSTRAINT fk_notes_run_id_runs FOREIGN KEY(run_id) REFERENCES runs (id) ON DELETE CASCADE
);
INSERT INTO "notes" VALUES(1,1773523800000000,'Both sound.',NULL,NULL,NULL,1,NULL,NULL);
CREATE TABLE outcomes (
	id INTEGER NOT NULL, 
	run_id INTEGER NOT NULL, 
	piece TEXT NOT NULL, 
	found_at INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	count INTEGER NOT NULL, 
	retardation_m DOUBLE, 
	light_path_m DOUBLE, 
	grade TEXT NOT NULL, 
	text TEXT NOT NULL, 
	photos TEXT NOT NULL, 
	CONSTRAINT pk_outcomes PRIMARY KEY (id), 
	CONSTRAINT ck_outcomes_kind_known CHECK (kind IN ('sound', 'cracked', 'strain seen')), 
	CONSTRAINT ck_outcomes_count_at_least_one CHECK (count >= 1), 
	CONSTRAINT ck_outcomes_light_path_possible CHECK (light_path_m > 0 AND light_path_m <= 1), 
	CONSTRAINT ck_outcomes_retardation_possible CHECK (retardation_m >= 0 AND retardation_m <= 1e-4), 
	CONSTRAINT fk_outcomes_run_id_runs FOREIGN KEY(run_id) REFERENCES runs (id) ON DELETE CASCADE
);
INSERT INTO "outcomes" VALUES(1,1,'Deck prism',1773631800000000,'strain seen',1,4.0e-08,0.05,'temper 1','at the rim','[]');
INSERT INTO "outcomes" VALUES(2,1,'Float',1773631800000000,'sound',8,NULL,NULL,'','','[]');
CREATE TABLE "pieces" (
	id INTEGER NOT NULL, 
	load_id INTEGER NOT NULL, 
	position INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	count INTEGER NOT NULL, 
	shape TEXT NOT NULL, 
	glass_name TEXT NOT NULL, 
	glass_id INTEGER, 
	wall_thickness_m DOUBLE, 
	base_thickness_m DOUBLE, 
	diameter_m DOUBLE, 
	height_m DOUBLE, 
	glass_version_id INTEGER, 
	pot_id INTEGER, 
	gathered_at INTEGER, 
	CONSTRAINT pk_pieces PRIMARY KEY (id), 
	CONSTRAINT fk_pieces_glass_version_id_glass_versions FOREIGN KEY(glass_version_id) REFERENCES glass_versions (id) ON DELETE SET NULL, 
	CONSTRAINT fk_pieces_glass_id_glasses FOREIGN KEY(glass_id) REFERENCES glasses (id) ON DELETE SET NULL, 
	CONSTRAINT ck_pieces_lengths_positive CHECK (coalesce(wall_thickness_m, 1) > 0 AND coalesce(base_thickness_m, 1) > 0 AND coalesce(diameter_m, 1) > 0 AND coalesce(height_m, 1) > 0), 
	CONSTRAINT ck_pieces_count_at_least_one CHECK (count >= 1), 
	CONSTRAINT fk_pieces_load_id_loads FOREIGN KEY(load_id) REFERENCES loads (id) ON DELETE CASCADE, 
	CONSTRAINT ck_pieces_shape_known CHECK (shape IN ('plate', 'cylinder', 'sphere', 'vessel')), 
	CONSTRAINT uq_pieces_load_id_position UNIQUE (load_id, position), 
	CONSTRAINT fk_pieces_pot_id_pots FOREIGN KEY(pot_id) REFERENCES pots (id) ON DELETE SET NULL
);
INSERT INTO "pieces" VALUES(1,1,0,'Deck prism',2,'cylinder','quay clear',1,NULL,NULL,0.05,NULL,1,NULL,NULL);
INSERT INTO "pieces" VALUES(2,1,1,'Float',8,'plate','quay clear',1,0.003,NULL,NULL,NULL,1,NULL,NULL);
INSERT INTO "pieces" VALUES(3,2,0,'Deck prism',2,'cylinder','quay clear',1,NULL,NULL,0.05,NULL,1,1,1773520200000000);
INSERT INTO "pieces" VALUES(4,2,1,'Float',8,'plate','quay clear',1,0.003,NULL,NULL,NULL,1,NULL,NULL);
CREATE TABLE planned_charges (
	id INTEGER NOT NULL, 
	charge_list_id INTEGER NOT NULL, 
	position INTEGER NOT NULL, 
	time INTEGER NOT NULL, 
	pot_id INTEGER NOT NULL, 
	material TEXT NOT NULL, 
	mass_kg DOUBLE NOT NULL, 
	note TEXT NOT NULL, 
	charge_id INTEGER, 
	ticked_at INTEGER, 
	CONSTRAINT pk_planned_charges PRIMARY KEY (id), 
	CONSTRAINT ck_planned_charges_tick_has_time CHECK ((charge_id IS NULL) OR (ticked_at IS NOT NULL)), 
	CONSTRAINT ck_planned_charges_mass_possible CHECK (mass_kg > 0 AND mass_kg <= 10000), 
	CONSTRAINT fk_planned_charges_charge_id_charges FOREIGN KEY(charge_id) REFERENCES charges (id) ON DELETE SET NULL, 
	CONSTRAINT fk_planned_charges_charge_list_id_charge_lists FOREIGN KEY(charge_list_id) REFERENCES charge_lists (id) ON DELETE CASCADE, 
	CONSTRAINT fk_planned_charges_pot_id_pots FOREIGN KEY(pot_id) REFERENCES pots (id) ON DELETE RESTRICT, 
	CONSTRAINT uq_planned_charges_charge_id UNIQUE (charge_id), 
	CONSTRAINT uq_planned_charges_charge_list_id_position UNIQUE (charge_list_id, position)
);
INSERT INTO "planned_charges" VALUES(1,1,0,1773531000000000,1,'batch',8.0,'',2,1773531000000000);
INSERT INTO "planned_charges" VALUES(2,1,1,1773541800000000,1,'batch',4.0,'small',NULL,NULL);
CREATE TABLE plans (
	id INTEGER NOT NULL, 
	load_id INTEGER NOT NULL, 
	start_at INTEGER NOT NULL, 
	ready_at INTEGER NOT NULL, 
	snapshot TEXT NOT NULL, 
	made_at INTEGER NOT NULL, 
	CONSTRAINT pk_plans PRIMARY KEY (id), 
	CONSTRAINT ck_plans_ready_after_start CHECK (ready_at >= start_at), 
	CONSTRAINT fk_plans_load_id_loads FOREIGN KEY(load_id) REFERENCES loads (id) ON DELETE CASCADE
);
INSERT INTO "plans" VALUES(1,1,1773523800000000,1773595800000000,'{"format_version": 2, "kind": "plan", "plan": {"load_name": "Two prisms", "lehr_name": "Net loft lehr", "segments": [{"kind": "soak", "start_temperature": 820.15, "target": 820.15, "rate": 0.0, "ramp_time": 0.0, "hold_time": 3600.0, "start": "2026-03-14T21:30:00+00:00", "end": "2026-03-14T22:30:00+00:00", "governing_piece": "Deck prism", "reason": "Warm through.", "curve_time": [0.0, 3600.0], "curve_temperature": [820.15, 820.15], "limit": ""}], "soak_temperature": 820.15, "soak_time": 3600.0, "transformation_top": 815.15, "transformation_bottom": 775.15, "slow_rate": 0.005, "governing_piece": "Deck prism", "governing_reason": "Thickest.", "start": "2026-03-14T21:30:00+00:00", "ready_at": "2026-03-15T17:30:00+00:00", "out_by": null, "warnings": ["Invented."], "zones": [{"glass": "quay clear", "annealing_point": 815.15, "strain_point": 775.15}], "program_version": "0.1.0", "replay": null, "made_with": [], "assumptions": []}}',1773523800000000);
CREATE TABLE pot_entries (
	id INTEGER NOT NULL, 
	pot_id INTEGER NOT NULL, 
	time INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	mass_kg DOUBLE, 
	error_kg DOUBLE, 
	note TEXT NOT NULL, 
	CONSTRAINT pk_pot_entries PRIMARY KEY (id), 
	CONSTRAINT ck_pot_entries_mass_if_any CHECK ((kind = 'new pot') = (mass_kg IS NULL) AND (kind = 'new pot') = (error_kg IS NULL)), 
	CONSTRAINT ck_pot_entries_kind_known CHECK (kind IN ('gathered', 'skimmed', 'drained', 'level', 'new pot')), 
	CONSTRAINT ck_pot_entries_error_possible CHECK (error_kg >= 0 AND error_kg <= 100000), 
	CONSTRAINT ck_pot_entries_mass_possible CHECK (mass_kg >= 0 AND mass_kg <= 100000), 
	CONSTRAINT fk_pot_entries_pot_id_pots FOREIGN KEY(pot_id) REFERENCES pots (id) ON DELETE RESTRICT
);
INSERT INTO "pot_entries" VALUES(1,1,1773520200000000,'new pot',NULL,NULL,'set in');
INSERT INTO "pot_entries" VALUES(2,1,1773527400000000,'gathered',4.5,0.6,'two prisms');
INSERT INTO "pot_entries" VALUES(3,1,1773531000000000,'skimmed',0.5,0.1,'');
INSERT INTO "pot_entries" VALUES(4,1,1773534600000000,'level',6.0,1.0,'');
CREATE TABLE "pots" (
	id INTEGER NOT NULL, 
	equipment_id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	capacity_kg DOUBLE, 
	shape TEXT, 
	CONSTRAINT pk_pots PRIMARY KEY (id), 
	CONSTRAINT fk_pots_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id) ON DELETE RESTRICT, 
	CONSTRAINT uq_pots_name UNIQUE (name), 
	CONSTRAINT ck_pots_capacity_possible CHECK (capacity_kg > 0 AND capacity_kg <= 100000)
);
INSERT INTO "pots" VALUES(1,2,'Left pot',60.0,'{"format_version": 2, "kind": "pot shape", "pot shape": {"name": "Left pot", "top_diameter": 0.4, "bottom_diameter": 0.34, "depth": 0.38, "wall_thickness": 0.025, "base_thickness": 0.03, "freeboard": 0.03, "exposed_share": 1.0, "material": {"name": "clay-alumina pot", "conductivity": [[200.0, 1.7], [1200.0, 1.7]], "density": 2350, "heat_capacity": [840.0, 0.24], "service_temperature": 1550, "source": "general refractory data, from memory, unverified"}}}');
CREATE TABLE readings (
	id INTEGER NOT NULL, 
	equipment_id INTEGER NOT NULL, 
	run_id INTEGER, 
	import_id INTEGER, 
	time INTEGER NOT NULL, 
	temperature_k DOUBLE NOT NULL, 
	source TEXT NOT NULL, 
	note TEXT NOT NULL, 
	CONSTRAINT pk_readings PRIMARY KEY (id), 
	CONSTRAINT ck_readings_temperature_possible CHECK (temperature_k > 0 AND temperature_k < 3000), 
	CONSTRAINT fk_readings_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id) ON DELETE RESTRICT, 
	CONSTRAINT fk_readings_import_id_imports FOREIGN KEY(import_id) REFERENCES imports (id) ON DELETE CASCADE, 
	CONSTRAINT fk_readings_run_id_equipment_id_runs FOREIGN KEY(run_id, equipment_id) REFERENCES runs (id, equipment_id) ON DELETE CASCADE
);
INSERT INTO "readings" VALUES(1,1,1,1,1773523800000000,820.15,'logger','');
INSERT INTO "readings" VALUES(2,1,1,1,1773523860000000,820.25,'logger','');
INSERT INTO "readings" VALUES(3,1,1,1,1773523920000000,819.95,'logger','');
INSERT INTO "readings" VALUES(4,1,1,1,1773523980000000,820.05,'logger','');
INSERT INTO "readings" VALUES(5,1,1,1,1773524040000000,820.35,'logger','');
INSERT INTO "readings" VALUES(6,1,1,1,1773524100000000,820.15,'logger','');
INSERT INTO "readings" VALUES(7,1,1,NULL,1773525600000000,819.15,'typed','');
INSERT INTO "readings" VALUES(8,2,NULL,NULL,1773523800000000,1400.5,'typed','after charging');
CREATE TABLE run_events (
	id INTEGER NOT NULL, 
	run_id INTEGER NOT NULL, 
	time INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	piece TEXT NOT NULL, 
	text TEXT NOT NULL, 
	photos TEXT NOT NULL, 
	CONSTRAINT pk_run_events PRIMARY KEY (id), 
	CONSTRAINT fk_run_events_run_id_runs FOREIGN KEY(run_id) REFERENCES runs (id) ON DELETE CASCADE
);
INSERT INTO "run_events" VALUES(1,1,1773527400000000,'door open','','to look','["pictures/lehr.jpg"]');
INSERT INTO "run_events" VALUES(2,1,1773527400000000,'pieces in','Deck prism','','[]');
CREATE TABLE runs (
	id INTEGER NOT NULL, 
	plan_id INTEGER NOT NULL, 
	equipment_id INTEGER NOT NULL, 
	started_at INTEGER NOT NULL, 
	finished_at INTEGER, 
	note TEXT NOT NULL, 
	CONSTRAINT pk_runs PRIMARY KEY (id), 
	CONSTRAINT ck_runs_finished_after_start CHECK (finished_at >= started_at), 
	CONSTRAINT fk_runs_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id) ON DELETE RESTRICT, 
	CONSTRAINT fk_runs_plan_id_plans FOREIGN KEY(plan_id) REFERENCES plans (id) ON DELETE RESTRICT, 
	CONSTRAINT uq_runs_id_equipment_id UNIQUE (id, equipment_id)
);
INSERT INTO "runs" VALUES(1,1,1,1773523800000000,1773595800000000,'first night');
CREATE TABLE settings (
	name TEXT NOT NULL, 
	value TEXT NOT NULL, 
	CONSTRAINT pk_settings PRIMARY KEY (name)
);
INSERT INTO "settings" VALUES('currency','EUR');
CREATE INDEX ix_loads_equipment_id ON loads (equipment_id);
CREATE INDEX ix_loads_saved_at ON loads (saved_at);
CREATE INDEX ix_charges_pot_id_time ON charges (pot_id, time);
CREATE INDEX ix_plans_load_id ON plans (load_id);
CREATE INDEX ix_runs_equipment_id ON runs (equipment_id);
CREATE INDEX ix_runs_plan_id ON runs (plan_id);
CREATE INDEX ix_runs_started_at ON runs (started_at);
CREATE INDEX ix_imports_run_id ON imports (run_id);
CREATE INDEX ix_notes_equipment_id ON notes (equipment_id);
CREATE INDEX ix_notes_glass_id ON notes (glass_id);
CREATE INDEX ix_notes_load_id ON notes (load_id);
CREATE INDEX ix_notes_plan_id ON notes (plan_id);
CREATE INDEX ix_notes_pot_id ON notes (pot_id);
CREATE INDEX ix_notes_run_id ON notes (run_id);
CREATE INDEX ix_readings_import_id ON readings (import_id);
CREATE UNIQUE INDEX uq_readings_equipment_id_time ON readings (equipment_id, time) WHERE run_id IS NULL;
CREATE UNIQUE INDEX uq_readings_run_id_time ON readings (run_id, time) WHERE run_id IS NOT NULL;
CREATE TRIGGER plans_in_use_change BEFORE UPDATE ON plans
WHEN EXISTS (SELECT 1 FROM runs WHERE plan_id = OLD.id)
BEGIN
    SELECT RAISE(ABORT, 'plan in use');
END;
CREATE TRIGGER plans_in_use_removal BEFORE DELETE ON plans
WHEN EXISTS (SELECT 1 FROM runs WHERE plan_id = OLD.id)
BEGIN
    SELECT RAISE(ABORT, 'plan in use');
END;
CREATE TRIGGER runs_keep_plan BEFORE UPDATE OF plan_id ON runs
WHEN NEW.plan_id IS NOT OLD.plan_id
BEGIN
    SELECT RAISE(ABORT, 'plan in use');
END;
CREATE TRIGGER plans_keep_number BEFORE INSERT ON plans
WHEN EXISTS (SELECT 1 FROM plans WHERE id = NEW.id)
BEGIN
    SELECT RAISE(ABORT, 'plan in use');
END;
CREATE TRIGGER plans_keep_id BEFORE UPDATE OF id ON plans
WHEN NEW.id IS NOT OLD.id
BEGIN
    SELECT RAISE(ABORT, 'plan in use');
END;
CREATE TRIGGER runs_keep_number BEFORE INSERT ON runs
WHEN EXISTS (SELECT 1 FROM runs WHERE id = NEW.id)
BEGIN
    SELECT RAISE(ABORT, 'plan in use');
END;
CREATE TRIGGER runs_keep_id BEFORE UPDATE OF id ON runs
WHEN NEW.id IS NOT OLD.id
BEGIN
    SELECT RAISE(ABORT, 'plan in use');
END;
CREATE TRIGGER glass_versions_stay BEFORE UPDATE ON glass_versions
BEGIN
    SELECT RAISE(ABORT, 'glass version stays');
END;
CREATE TRIGGER glass_versions_keep_number BEFORE INSERT ON glass_versions
WHEN EXISTS (
    SELECT 1 FROM glass_versions
    WHERE id = NEW.id OR (glass_id = NEW.glass_id AND number = NEW.number)
)
BEGIN
    SELECT RAISE(ABORT, 'glass version stays');
END;
CREATE INDEX ix_pots_equipment_id ON pots (equipment_id);
CREATE INDEX ix_pieces_glass_version_id ON pieces (glass_version_id);
CREATE INDEX ix_pieces_glass_id ON pieces (glass_id);
CREATE INDEX ix_pieces_pot_id ON pieces (pot_id);
CREATE INDEX ix_batch_sheets_made_at ON batch_sheets (made_at);
CREATE INDEX ix_charge_lists_made_at ON charge_lists (made_at);
CREATE INDEX ix_charged_glasses_folded ON charged_glasses (folded);
CREATE INDEX ix_charged_glasses_pot_id ON charged_glasses (pot_id);
CREATE INDEX ix_pot_entries_pot_id_time ON pot_entries (pot_id, time);
CREATE INDEX ix_planned_charges_pot_id ON planned_charges (pot_id);
CREATE INDEX ix_live_sources_equipment_id ON live_sources (equipment_id);
CREATE INDEX ix_alarms_run_id_raised_at ON alarms (run_id, raised_at);
CREATE INDEX ix_fits_equipment_id_fitted_at ON fits (equipment_id, fitted_at);
CREATE INDEX ix_fits_run_id ON fits (run_id);
CREATE INDEX ix_outcomes_run_id_found_at ON outcomes (run_id, found_at);
CREATE INDEX ix_run_events_run_id_time ON run_events (run_id, time);
COMMIT;
