-- A job book as version 0001 of the book wrote it: schema and rows. Kept to prove that the
-- newest version opens it. Never renew this file: it is what an old book looks like.
BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0001');
CREATE TABLE change (
	id INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	who TEXT DEFAULT '' NOT NULL, 
	what TEXT DEFAULT '' NOT NULL, 
	takes_back INTEGER, 
	PRIMARY KEY (id), 
	FOREIGN KEY(takes_back) REFERENCES change (id)
);
INSERT INTO "change" VALUES(1,'2025-11-01T21:00:00.000000+00:00','Ida','start',NULL);
INSERT INTO "change" VALUES(2,'2025-11-01T21:00:00.000000+00:00','Ida','tasks',NULL);
INSERT INTO "change" VALUES(3,'2025-11-02T21:00:00.000000+00:00','Ida','hardware',NULL);
INSERT INTO "change" VALUES(4,'2025-11-03T21:00:00.000000+00:00','Ida','log',NULL);
INSERT INTO "change" VALUES(5,'2025-11-05T21:00:00.000000+00:00','Ida','judgement',NULL);
INSERT INTO "change" VALUES(6,'2025-11-21T21:00:00.000000+00:00','Ida','wrong photo out',NULL);
CREATE TABLE change_row (
	id INTEGER NOT NULL, 
	change_id INTEGER NOT NULL, 
	"table" TEXT NOT NULL, 
	row_id INTEGER NOT NULL, 
	"before" TEXT, 
	"after" TEXT, 
	PRIMARY KEY (id), 
	FOREIGN KEY(change_id) REFERENCES change (id)
);
INSERT INTO "change_row" VALUES(1,1,'setting',1,NULL,'{"id": 1, "name": "airplane", "value": "Tarn 200"}');
INSERT INTO "change_row" VALUES(2,1,'part',1,NULL,'{"closes": "", "cure_hours": 0.0, "drawing": "T200-53-04 rev B", "file": "parts/battery-tray.toml", "glue": "", "id": 1, "major": "Fuselage", "name": "battery-tray", "position": "", "rivets": 14, "title": "Battery tray", "treat": "conversion coat"}');
INSERT INTO "change_row" VALUES(3,1,'part',2,NULL,'{"closes": "control run", "cure_hours": 0.0, "drawing": "T200-53-11", "file": "", "glue": "", "id": 2, "major": "Fuselage", "name": "pan-cover", "position": "inverted", "rivets": 0, "title": "Pan cover", "treat": ""}');
INSERT INTO "change_row" VALUES(4,2,'task',1,NULL,'{"begun_at": null, "by_hand": false, "done_at": "2025-11-03T20:10:00.000000+00:00", "hours": 0.5, "id": 1, "key": "part:battery-tray:cut", "kind": "cut", "major": "Fuselage", "note": "", "part_id": 1, "place": "", "position": "", "setup": "", "state": "done", "title": "battery-tray: cut"}');
INSERT INTO "change_row" VALUES(5,2,'task',2,NULL,'{"begun_at": null, "by_hand": false, "done_at": null, "hours": 1.0, "id": 2, "key": "part:battery-tray:bend", "kind": "bend", "major": "Fuselage", "note": "", "part_id": 1, "place": "", "position": "", "setup": "", "state": "to do", "title": "battery-tray: bend"}');
INSERT INTO "change_row" VALUES(6,2,'task',3,NULL,'{"begun_at": null, "by_hand": false, "done_at": null, "hours": 0.8, "id": 3, "key": "part:battery-tray:rivet", "kind": "rivet", "major": "Fuselage", "note": "", "part_id": 1, "place": "", "position": "", "setup": "", "state": "to do", "title": "battery-tray: rivet"}');
INSERT INTO "change_row" VALUES(7,2,'need',1,NULL,'{"cure_hours": 0.0, "hardware_id": null, "id": 1, "key": "a", "kind": "task", "needed_part_id": null, "needed_task_id": 1, "quantity": 0.0, "stage_id": null, "task_id": 2}');
INSERT INTO "change_row" VALUES(8,2,'need',2,NULL,'{"cure_hours": 0.0, "hardware_id": null, "id": 2, "key": "b", "kind": "task", "needed_part_id": null, "needed_task_id": 2, "quantity": 0.0, "stage_id": null, "task_id": 3}');
INSERT INTO "change_row" VALUES(9,2,'stage',1,NULL,'{"closes": "pan-cover", "found": "", "id": 1, "key": "", "major": "Fuselage", "seen_at": null, "seen_by": "", "title": "control run, before pan-cover goes in"}');
INSERT INTO "change_row" VALUES(10,3,'hardware',1,NULL,'{"grip": 3.2, "id": 1, "note": "", "number": "MS20470AD4-5", "pack": 0.0, "spare_least": 5.0, "spare_percent": 10.0, "title": "rivet, universal head, 1/8 × 5/16 in", "unit": "each"}');
INSERT INTO "change_row" VALUES(11,3,'hardware_need',1,NULL,'{"hardware_id": 1, "id": 1, "key": "", "part_id": 1, "quantity": 14.0, "task_id": null}');
INSERT INTO "change_row" VALUES(12,3,'hardware_move',1,NULL,'{"at": "2025-10-20T18:00:00.000000+00:00", "due": "2025-11-10T00:00:00.000000+00:00", "hardware_id": 1, "id": 1, "kind": "ordered", "quantity": 100.0, "reference": "order 7", "task_id": null}');
INSERT INTO "change_row" VALUES(13,3,'hardware_move',2,NULL,'{"at": "2025-11-08T09:30:00.000000+00:00", "due": null, "hardware_id": 1, "id": 2, "kind": "arrived", "quantity": 100.0, "reference": "order 7", "task_id": null}');
INSERT INTO "change_row" VALUES(14,3,'need',3,NULL,'{"cure_hours": 0.0, "hardware_id": 1, "id": 3, "key": "", "kind": "hardware", "needed_part_id": null, "needed_task_id": null, "quantity": 14.0, "stage_id": null, "task_id": 3}');
INSERT INTO "change_row" VALUES(15,4,'entry',1,NULL,'{"at": "2025-11-03T20:10:00.000000+00:00", "helpers": "Bo held the sheet", "id": 1, "major": "Fuselage", "minutes": 50, "part_id": 1, "place": "bench", "task_id": 1, "text": "Tray blank cut, edges filed – 186,4 between frames", "who": "Ida"}');
INSERT INTO "change_row" VALUES(16,4,'photo',1,NULL,'{"caption": "blank", "entry_id": 1, "file": "aa/aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa.jpg", "height": 3, "id": 1, "name": "tray.jpg", "sha256": "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa", "size": 10, "width": 4}');
INSERT INTO "change_row" VALUES(17,4,'photo',2,NULL,'{"caption": "my thumb", "entry_id": 1, "file": "bb/bbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbb.jpg", "height": 3, "id": 2, "name": "thumb.jpg", "sha256": "bbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbb", "size": 10, "width": 4}');
INSERT INTO "change_row" VALUES(18,4,'measurement',1,NULL,'{"entry_id": 1, "id": 1, "old": "187 mm", "part_id": 1, "plus_minus": "0.3 mm", "put_in_at": "2025-11-03T20:12:00.000000+00:00", "reason": "measured between frames", "size": "bay_width", "state": "in the part file", "value": "186.4 mm"}');
INSERT INTO "change_row" VALUES(19,5,'deviation',1,NULL,'{"checked": "battery goes in", "closed_at": null, "closed_by": "", "closing": "", "drawing": "T200-53-04", "id": 1, "opened_at": "2025-11-04T19:00:00.000000+00:00", "opened_by": "Ida", "what": "tray 0.6 mm narrower than drawn", "why": "frames stand closer"}');
INSERT INTO "change_row" VALUES(20,5,'deviation_part',1,NULL,'{"deviation_id": 1, "id": 1, "part_id": 1}');
INSERT INTO "change_row" VALUES(21,5,'word',1,NULL,'{"answer": "No effect on the mount. Go on.", "answered_at": "2025-11-09T08:00:00.000000+00:00", "asked_at": "2025-11-05T08:00:00.000000+00:00", "deviation_id": 1, "id": 1, "whom": "designer"}');
INSERT INTO "change_row" VALUES(22,5,'yearly',1,NULL,'{"cover": "pan-cover", "id": 1, "minutes": 20.0, "months": 12, "note": "", "title": "Control run under the pan"}');
INSERT INTO "change_row" VALUES(23,5,'yearly_fastener',1,NULL,'{"count": 18, "id": 1, "kind": "screw in plate nut", "off_seconds": 20.0, "on_seconds": 30.0, "yearly_id": 1}');
INSERT INTO "change_row" VALUES(24,5,'yearly_done',1,NULL,'{"at": "2025-11-20T10:00:00.000000+00:00", "found": "nothing", "id": 1, "minutes": 41.0, "who": "Ida", "yearly_id": 1}');
INSERT INTO "change_row" VALUES(25,6,'photo',2,'{"caption": "my thumb", "entry_id": 1, "file": "bb/bbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbb.jpg", "height": 3, "id": 2, "name": "thumb.jpg", "sha256": "bbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbb", "size": 10, "width": 4}',NULL);
CREATE TABLE counter (
	name TEXT NOT NULL, 
	last INTEGER NOT NULL, 
	PRIMARY KEY (name)
);
INSERT INTO "counter" VALUES('setting',1);
INSERT INTO "counter" VALUES('part',2);
INSERT INTO "counter" VALUES('change',6);
INSERT INTO "counter" VALUES('change_row',25);
INSERT INTO "counter" VALUES('task',3);
INSERT INTO "counter" VALUES('need',3);
INSERT INTO "counter" VALUES('stage',1);
INSERT INTO "counter" VALUES('hardware',1);
INSERT INTO "counter" VALUES('hardware_need',1);
INSERT INTO "counter" VALUES('hardware_move',2);
INSERT INTO "counter" VALUES('entry',1);
INSERT INTO "counter" VALUES('photo',2);
INSERT INTO "counter" VALUES('measurement',1);
INSERT INTO "counter" VALUES('deviation',1);
INSERT INTO "counter" VALUES('deviation_part',1);
INSERT INTO "counter" VALUES('word',1);
INSERT INTO "counter" VALUES('yearly',1);
INSERT INTO "counter" VALUES('yearly_fastener',1);
INSERT INTO "counter" VALUES('yearly_done',1);
CREATE TABLE deviation (
	id INTEGER NOT NULL, 
	what TEXT DEFAULT '' NOT NULL, 
	why TEXT DEFAULT '' NOT NULL, 
	drawing TEXT DEFAULT '' NOT NULL, 
	checked TEXT DEFAULT '' NOT NULL, 
	opened_at TEXT NOT NULL, 
	opened_by TEXT DEFAULT '' NOT NULL, 
	closed_at TEXT, 
	closed_by TEXT DEFAULT '' NOT NULL, 
	closing TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "deviation" VALUES(1,'tray 0.6 mm narrower than drawn','frames stand closer','T200-53-04','battery goes in','2025-11-04T19:00:00.000000+00:00','Ida',NULL,'','');
CREATE TABLE deviation_part (
	id INTEGER NOT NULL, 
	deviation_id INTEGER NOT NULL, 
	part_id INTEGER NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(deviation_id) REFERENCES deviation (id), 
	FOREIGN KEY(part_id) REFERENCES part (id)
);
INSERT INTO "deviation_part" VALUES(1,1,1);
CREATE TABLE entry (
	id INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	minutes INTEGER DEFAULT '0' NOT NULL, 
	text TEXT DEFAULT '' NOT NULL, 
	place TEXT DEFAULT '' NOT NULL, 
	who TEXT DEFAULT '' NOT NULL, 
	helpers TEXT DEFAULT '' NOT NULL, 
	task_id INTEGER, 
	part_id INTEGER, 
	major TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(task_id) REFERENCES task (id), 
	FOREIGN KEY(part_id) REFERENCES part (id)
);
INSERT INTO "entry" VALUES(1,'2025-11-03T20:10:00.000000+00:00',50,'Tray blank cut, edges filed – 186,4 between frames','bench','Ida','Bo held the sheet',1,1,'Fuselage');
CREATE TABLE hardware (
	id INTEGER NOT NULL, 
	number TEXT NOT NULL, 
	title TEXT DEFAULT '' NOT NULL, 
	unit TEXT DEFAULT '' NOT NULL, 
	grip FLOAT, 
	spare_percent FLOAT DEFAULT '0' NOT NULL, 
	spare_least FLOAT DEFAULT '0' NOT NULL, 
	pack FLOAT DEFAULT '0' NOT NULL, 
	note TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (number)
);
INSERT INTO "hardware" VALUES(1,'MS20470AD4-5','rivet, universal head, 1/8 × 5/16 in','each',3.2,10.0,5.0,0.0,'');
CREATE TABLE hardware_move (
	id INTEGER NOT NULL, 
	hardware_id INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	quantity FLOAT DEFAULT '0' NOT NULL, 
	at TEXT NOT NULL, 
	due TEXT, 
	reference TEXT DEFAULT '' NOT NULL, 
	task_id INTEGER, 
	PRIMARY KEY (id), 
	FOREIGN KEY(hardware_id) REFERENCES hardware (id), 
	FOREIGN KEY(task_id) REFERENCES task (id)
);
INSERT INTO "hardware_move" VALUES(1,1,'ordered',100.0,'2025-10-20T18:00:00.000000+00:00','2025-11-10T00:00:00.000000+00:00','order 7',NULL);
INSERT INTO "hardware_move" VALUES(2,1,'arrived',100.0,'2025-11-08T09:30:00.000000+00:00',NULL,'order 7',NULL);
CREATE TABLE hardware_need (
	id INTEGER NOT NULL, 
	hardware_id INTEGER NOT NULL, 
	quantity FLOAT DEFAULT '0' NOT NULL, 
	part_id INTEGER, 
	task_id INTEGER, 
	"key" TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(hardware_id) REFERENCES hardware (id), 
	FOREIGN KEY(part_id) REFERENCES part (id), 
	FOREIGN KEY(task_id) REFERENCES task (id)
);
INSERT INTO "hardware_need" VALUES(1,1,14.0,1,NULL,'');
CREATE TABLE measurement (
	id INTEGER NOT NULL, 
	entry_id INTEGER NOT NULL, 
	part_id INTEGER NOT NULL, 
	size TEXT DEFAULT '' NOT NULL, 
	value TEXT DEFAULT '' NOT NULL, 
	plus_minus TEXT DEFAULT '' NOT NULL, 
	reason TEXT DEFAULT '' NOT NULL, 
	old TEXT DEFAULT '' NOT NULL, 
	state TEXT NOT NULL, 
	put_in_at TEXT, 
	PRIMARY KEY (id), 
	FOREIGN KEY(entry_id) REFERENCES entry (id), 
	FOREIGN KEY(part_id) REFERENCES part (id)
);
INSERT INTO "measurement" VALUES(1,1,1,'bay_width','186.4 mm','0.3 mm','measured between frames','187 mm','in the part file','2025-11-03T20:12:00.000000+00:00');
CREATE TABLE need (
	id INTEGER NOT NULL, 
	task_id INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	needed_task_id INTEGER, 
	needed_part_id INTEGER, 
	hardware_id INTEGER, 
	stage_id INTEGER, 
	quantity FLOAT DEFAULT '0' NOT NULL, 
	cure_hours FLOAT DEFAULT '0' NOT NULL, 
	"key" TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(task_id) REFERENCES task (id), 
	FOREIGN KEY(needed_task_id) REFERENCES task (id), 
	FOREIGN KEY(needed_part_id) REFERENCES part (id), 
	FOREIGN KEY(hardware_id) REFERENCES hardware (id), 
	FOREIGN KEY(stage_id) REFERENCES stage (id)
);
INSERT INTO "need" VALUES(1,2,'task',1,NULL,NULL,NULL,0.0,0.0,'a');
INSERT INTO "need" VALUES(2,3,'task',2,NULL,NULL,NULL,0.0,0.0,'b');
INSERT INTO "need" VALUES(3,3,'hardware',NULL,NULL,1,NULL,14.0,0.0,'');
CREATE TABLE part (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	title TEXT DEFAULT '' NOT NULL, 
	drawing TEXT DEFAULT '' NOT NULL, 
	major TEXT DEFAULT '' NOT NULL, 
	position TEXT DEFAULT '' NOT NULL, 
	glue TEXT DEFAULT '' NOT NULL, 
	cure_hours FLOAT DEFAULT '0' NOT NULL, 
	treat TEXT DEFAULT '' NOT NULL, 
	rivets INTEGER DEFAULT '0' NOT NULL, 
	closes TEXT DEFAULT '' NOT NULL, 
	file TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (name)
);
INSERT INTO "part" VALUES(1,'battery-tray','Battery tray','T200-53-04 rev B','Fuselage','','',0.0,'conversion coat',14,'','parts/battery-tray.toml');
INSERT INTO "part" VALUES(2,'pan-cover','Pan cover','T200-53-11','Fuselage','inverted','',0.0,'',0,'control run','');
CREATE TABLE photo (
	id INTEGER NOT NULL, 
	entry_id INTEGER NOT NULL, 
	sha256 TEXT NOT NULL, 
	file TEXT DEFAULT '' NOT NULL, 
	name TEXT DEFAULT '' NOT NULL, 
	size INTEGER DEFAULT '0' NOT NULL, 
	width INTEGER DEFAULT '0' NOT NULL, 
	height INTEGER DEFAULT '0' NOT NULL, 
	caption TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(entry_id) REFERENCES entry (id)
);
INSERT INTO "photo" VALUES(1,1,'aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa','aa/aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa.jpg','tray.jpg',10,4,3,'blank');
CREATE TABLE setting (
	id INTEGER NOT NULL, 
	name TEXT, 
	value TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (name)
);
INSERT INTO "setting" VALUES(1,'airplane','Tarn 200');
CREATE TABLE stage (
	id INTEGER NOT NULL, 
	"key" TEXT DEFAULT '' NOT NULL, 
	title TEXT NOT NULL, 
	major TEXT DEFAULT '' NOT NULL, 
	closes TEXT DEFAULT '' NOT NULL, 
	seen_at TEXT, 
	seen_by TEXT DEFAULT '' NOT NULL, 
	found TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "stage" VALUES(1,'','control run, before pan-cover goes in','Fuselage','pan-cover',NULL,'','');
CREATE TABLE task (
	id INTEGER NOT NULL, 
	"key" TEXT DEFAULT '' NOT NULL, 
	title TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	state TEXT NOT NULL, 
	part_id INTEGER, 
	major TEXT DEFAULT '' NOT NULL, 
	place TEXT DEFAULT '' NOT NULL, 
	position TEXT DEFAULT '' NOT NULL, 
	setup TEXT DEFAULT '' NOT NULL, 
	hours FLOAT DEFAULT '0' NOT NULL, 
	begun_at TEXT, 
	done_at TEXT, 
	by_hand BOOLEAN NOT NULL, 
	note TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(part_id) REFERENCES part (id)
);
INSERT INTO "task" VALUES(1,'part:battery-tray:cut','battery-tray: cut','cut','done',1,'Fuselage','','','',0.5,NULL,'2025-11-03T20:10:00.000000+00:00',0,'');
INSERT INTO "task" VALUES(2,'part:battery-tray:bend','battery-tray: bend','bend','to do',1,'Fuselage','','','',1.0,NULL,NULL,0,'');
INSERT INTO "task" VALUES(3,'part:battery-tray:rivet','battery-tray: rivet','rivet','to do',1,'Fuselage','','','',0.8,NULL,NULL,0,'');
CREATE TABLE word (
	id INTEGER NOT NULL, 
	deviation_id INTEGER NOT NULL, 
	whom TEXT DEFAULT '' NOT NULL, 
	asked_at TEXT NOT NULL, 
	answer TEXT DEFAULT '' NOT NULL, 
	answered_at TEXT, 
	PRIMARY KEY (id), 
	FOREIGN KEY(deviation_id) REFERENCES deviation (id)
);
INSERT INTO "word" VALUES(1,1,'designer','2025-11-05T08:00:00.000000+00:00','No effect on the mount. Go on.','2025-11-09T08:00:00.000000+00:00');
CREATE TABLE yearly (
	id INTEGER NOT NULL, 
	title TEXT DEFAULT '' NOT NULL, 
	cover TEXT DEFAULT '' NOT NULL, 
	months INTEGER DEFAULT '0' NOT NULL, 
	minutes FLOAT DEFAULT '0' NOT NULL, 
	note TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "yearly" VALUES(1,'Control run under the pan','pan-cover',12,20.0,'');
CREATE TABLE yearly_done (
	id INTEGER NOT NULL, 
	yearly_id INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	minutes FLOAT DEFAULT '0' NOT NULL, 
	who TEXT DEFAULT '' NOT NULL, 
	found TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(yearly_id) REFERENCES yearly (id)
);
INSERT INTO "yearly_done" VALUES(1,1,'2025-11-20T10:00:00.000000+00:00',41.0,'Ida','nothing');
CREATE TABLE yearly_fastener (
	id INTEGER NOT NULL, 
	yearly_id INTEGER NOT NULL, 
	kind TEXT DEFAULT '' NOT NULL, 
	count INTEGER DEFAULT '0' NOT NULL, 
	off_seconds FLOAT DEFAULT '0' NOT NULL, 
	on_seconds FLOAT DEFAULT '0' NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(yearly_id) REFERENCES yearly (id)
);
INSERT INTO "yearly_fastener" VALUES(1,1,'screw in plate nut',18,20.0,30.0);
CREATE INDEX ix_task_part_id ON task (part_id);
CREATE INDEX ix_need_task_id ON need (task_id);
CREATE INDEX ix_need_needed_task_id ON need (needed_task_id);
CREATE INDEX ix_need_needed_part_id ON need (needed_part_id);
CREATE INDEX ix_need_hardware_id ON need (hardware_id);
CREATE INDEX ix_need_stage_id ON need (stage_id);
CREATE INDEX ix_hardware_need_hardware_id ON hardware_need (hardware_id);
CREATE INDEX ix_hardware_need_part_id ON hardware_need (part_id);
CREATE INDEX ix_hardware_need_task_id ON hardware_need (task_id);
CREATE INDEX ix_hardware_move_hardware_id ON hardware_move (hardware_id);
CREATE INDEX ix_hardware_move_task_id ON hardware_move (task_id);
CREATE INDEX ix_entry_task_id ON entry (task_id);
CREATE INDEX ix_entry_part_id ON entry (part_id);
CREATE INDEX ix_entry_at ON entry (at, id);
CREATE INDEX ix_photo_entry_id ON photo (entry_id);
CREATE INDEX ix_photo_sha256 ON photo (sha256);
CREATE INDEX ix_measurement_entry_id ON measurement (entry_id);
CREATE INDEX ix_measurement_part_id ON measurement (part_id);
CREATE INDEX ix_deviation_part_deviation_id ON deviation_part (deviation_id);
CREATE INDEX ix_deviation_part_part_id ON deviation_part (part_id);
CREATE INDEX ix_word_deviation_id ON word (deviation_id);
CREATE INDEX ix_yearly_fastener_yearly_id ON yearly_fastener (yearly_id);
CREATE INDEX ix_yearly_done_yearly_id ON yearly_done (yearly_id);
CREATE INDEX ix_change_takes_back ON change (takes_back);
CREATE INDEX ix_change_row_change_id ON change_row (change_id);
CREATE INDEX ix_change_row_of ON change_row ("table", row_id);
COMMIT;
