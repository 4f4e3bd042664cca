package db

// MigrateTo is migrateTo, for tests that bring steps of their own.
var MigrateTo = migrateTo

// CompareSchema is compareSchema.
var CompareSchema = compareSchema
