"""Runs the roster query over a folder of shared csv files on an existing engine.

usage: engines.py duckdb|datafusion|duckdb-parquet QUERY.sql DIR
Prints one JSON list [finding, person, value, basis] a line. "duckdb-parquet" first writes the rows as
Parquet, a folder a month, and runs the query over that."""
import glob, json, os, sys, tempfile

engine, query, folder = sys.argv[1], open(sys.argv[2]).read(), sys.argv[3]
COLUMNS = ["person", "date", "answered", "load", "readiness", "caution"]
# A file that does not share a column has none: union by name fills it with null.
DAYS = f"""SELECT filename AS source, person, date, answered, load, readiness, caution
FROM read_csv('{folder}/**/*.csv', filename = true, union_by_name = true, header = true, types = {{
  'person': 'VARCHAR', 'date': 'DATE', 'answered': 'INTEGER', 'load': 'DOUBLE',
  'readiness': 'DOUBLE', 'caution': 'VARCHAR'}})"""

def from_duckdb(parquet):
    import duckdb
    base = duckdb.connect()
    if parquet:
        with tempfile.TemporaryDirectory() as place:
            base.sql(f"COPY (SELECT *, strftime(date, '%Y-%m') AS month FROM ({DAYS})) "
                     f"TO '{place}' (FORMAT parquet, PARTITION_BY (month))")
            base.sql(f"CREATE VIEW days AS SELECT * FROM read_parquet('{place}/*/*.parquet', hive_partitioning = true)")
            return base.sql(query).fetchall()
    base.sql(f"CREATE VIEW days AS {DAYS}")
    return base.sql(query).fetchall()

def from_datafusion():
    import csv, datetime, datafusion, pyarrow as pa
    rows = {name: [] for name in ["source"] + COLUMNS}
    for path in sorted(glob.glob(os.path.join(folder, "**", "*.csv"), recursive=True)):
        with open(path, newline="") as file:
            for row in csv.DictReader(file):
                value = lambda name: row.get(name) or None
                number = lambda name: None if value(name) is None else float(value(name))
                rows["source"].append(path)
                rows["person"].append(row["person"])
                rows["date"].append(datetime.date.fromisoformat(row["date"]))
                rows["answered"].append(int(row["answered"]))
                rows["load"].append(number("load"))
                rows["readiness"].append(number("readiness"))
                rows["caution"].append(value("caution"))
    schema = pa.schema([("source", pa.string()), ("person", pa.string()), ("date", pa.date32()),
                        ("answered", pa.int32()), ("load", pa.float64()), ("readiness", pa.float64()),
                        ("caution", pa.string())])
    context = datafusion.SessionContext()
    context.register_record_batches("days", [pa.table(rows, schema=schema).to_batches()])
    found = []
    for batch in context.sql(query).collect():
        found += [tuple(row.values()) for row in batch.to_pylist()]
    return found

rows = from_datafusion() if engine == "datafusion" else from_duckdb(engine == "duckdb-parquet")
for row in rows:
    print(json.dumps(list(row)))
